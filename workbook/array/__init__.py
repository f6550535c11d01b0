"""Where the elements stand, and the delays that aim them."""
