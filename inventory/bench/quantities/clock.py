"""The time of day of a run, as people type it: `14:35`, `9.05`, `9h05`."""

from __future__ import annotations

import re

__all__ = ["clock_minutes"]

_CLOCK = re.compile(r"([01]?\d|2[0-3])[:.h]([0-5]\d)(?:\s*(?:h|uhr))?", re.IGNORECASE)


def clock_minutes(text: str) -> int | None:
    """Minutes since midnight; None if the text is no time of a 24-hour day.

    >>> clock_minutes("14:35")
    875
    """
    found = _CLOCK.fullmatch(text.strip())
    return None if found is None else 60 * int(found[1]) + int(found[2])
