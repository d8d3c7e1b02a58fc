"""Curves compared with a trusted unit's: inductance against vacuum (sweep), opening time (pulse)."""
