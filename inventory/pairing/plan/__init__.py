"""Pairing a whole shelf."""
