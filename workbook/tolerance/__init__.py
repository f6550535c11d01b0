"""How wrong an array may be: known faults, and tolerances as distributions run through many trials."""
