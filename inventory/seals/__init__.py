"""Seals, which show whether somebody opened a case or moved an adjuster."""
