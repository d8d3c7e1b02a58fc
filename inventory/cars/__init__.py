"""Cars and the positions on them."""
