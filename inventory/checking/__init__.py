"""Checking a condition list that left the house: reading its file, and comparing it with the record."""
