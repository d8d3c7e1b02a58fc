"""Where parts came from and went."""
