"""The states of a seal."""

from __future__ import annotations

__all__ = ["STATES"]

STATES = ("intact", "disturbed", "missing", "renewed", "never fitted", "not seen")
