"""Resistances of windings and elements."""
