"""What each channel really does, from element to the port of the hub."""
