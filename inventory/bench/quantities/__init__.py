"""Quantities as they are typed and read, with their uncertainty."""
