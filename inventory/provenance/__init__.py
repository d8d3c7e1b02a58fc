"""Where parts came from and went; people and papers."""
