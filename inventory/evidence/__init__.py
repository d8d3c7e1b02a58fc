"""How likely a part is serviceable, and what the tests could not have shown."""
