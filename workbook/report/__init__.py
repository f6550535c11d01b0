"""A plan in, sheets to print out."""
