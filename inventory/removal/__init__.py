"""Removing somebody for good: where texts of the record name them, and what else still holds what was removed."""
