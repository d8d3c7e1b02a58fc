"""The first start of a car after it was put back together."""
