"""Readings, and what they prove."""
