"""Handbook formulas on plain SI floats and arrays; no units, no cables, nothing but NumPy and SciPy."""
