"""From a vertical to the receiver: element front end, external noise and cascades, direct-current feed, reels."""
