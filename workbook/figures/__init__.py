"""A result in, a figure out; the only room that draws."""
