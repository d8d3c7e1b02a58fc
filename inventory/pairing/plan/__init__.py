"""How to pair a whole shelf."""
