"""Adjusters, switches and settings of a car, as found before anything was touched."""
