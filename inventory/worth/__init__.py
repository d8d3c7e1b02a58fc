"""Values, and the condition list."""
