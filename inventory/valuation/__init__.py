"""Values that people state for parts."""
