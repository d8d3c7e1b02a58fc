"""Seals: what would show that an adjuster or a case was disturbed."""
