"""Readings repeated over the years."""
