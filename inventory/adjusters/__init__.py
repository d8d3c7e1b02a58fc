"""Adjusters, switches and settings of a car, as they were found before anything was touched."""
