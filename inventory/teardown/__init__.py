"""Taking a car apart and putting it together."""
