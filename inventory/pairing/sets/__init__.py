"""Injectors that deliver alike."""
