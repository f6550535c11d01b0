"""Ground rods, the conductors that lead to them, surges along them, and currents on cable shields."""
