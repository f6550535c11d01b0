"""What the analyser says about a cut piece, and what to do about it."""
