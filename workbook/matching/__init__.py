"""From one impedance to another: the usual ways, compared."""
