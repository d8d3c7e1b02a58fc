"""What a seal can be found to be."""

from __future__ import annotations

__all__ = ["STATES"]

STATES = ("intact", "disturbed", "missing", "renewed", "never fitted", "not seen")
