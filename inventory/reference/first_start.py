"""Reference data: the checks of a first start, in their order."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from inventory.reasons import Standing

__all__ = ["StartCheckOnFile", "start_checks"]


@dataclass(frozen=True)
class StartCheckOnFile:
    """One check: its name, what to do, and the bench's procedure that answers it ("": it is answered in words)."""

    name: str
    says: str
    run: str
    standing: Standing
    source: str


@lru_cache(maxsize=1)
def start_checks() -> tuple[StartCheckOnFile, ...]:
    """The checks in the order in which they are made."""
    text = files("inventory.reference").joinpath("first_start.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["check"]
    return tuple(
        StartCheckOnFile(row["name"], row["says"], row.get("run", ""), row["standing"], row["source"]) for row in rows
    )
