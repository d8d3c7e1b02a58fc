"""The few widgets that views are made of."""
