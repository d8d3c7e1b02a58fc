"""The letters that stand for people who are not named: A to Z, AA, AB. Pure."""

from __future__ import annotations

__all__ = ["letters_for"]


def letters_for(place: int) -> str:
    """1 is A, 26 is Z, 27 is AA."""
    place, sign = divmod(place - 1, 26)
    return (letters_for(place) if place else "") + chr(ord("A") + sign)
