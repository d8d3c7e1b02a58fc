"""Work in one typed line: "new mounts; with nitrile; batch 3/25; by the plater; 45 EUR; off old mounts". Pure."""

from __future__ import annotations

import re
from typing import Any

__all__ = ["read_work"]

_STARTS = {
    "product": ("with ", "product "),
    "batch": ("batch ",),
    "done_by": ("by ",),
    "taken_off": ("off ", "taken off "),
}
_COST = re.compile(r"(?:cost |for )?(?P<cost>[0-9][0-9 '.,]*) ?(?P<currency>[a-z]{3})", re.IGNORECASE)


def read_work(text: str) -> tuple[str, dict[str, Any]]:
    """What was done, and what else a line says of it by the names of `WorkDetails`.

    Pieces stand between semicolons; what begins with no known word belongs to what was done.
    """
    done: list[str] = []
    said: dict[str, Any] = {}
    for piece in (each.strip() for each in text.split(";")):
        lowered = piece.casefold()
        name, start = next(
            ((name, start) for name, starts in _STARTS.items() for start in starts if lowered.startswith(start)),
            ("", ""),
        )
        if done and name and name not in said:
            said[name] = piece[len(start) :].strip()
        elif done and (cost := _COST.fullmatch(piece)):
            said |= {"cost": cost["cost"].strip(), "currency": cost["currency"].upper()}
        elif piece:
            done.append(piece)
    return "; ".join(done), said
