"""A plan and ready drawings in, sheets to print out."""
