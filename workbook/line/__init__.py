"""A cable and a length of it: loss, velocity factor, impedance, delay, electrical length, check frequency."""
