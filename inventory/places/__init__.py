"""Places where parts are stored."""
