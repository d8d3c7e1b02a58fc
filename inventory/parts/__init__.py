"""Parts, what is marked on them, what is done to them, and part numbers."""
