"""Reference data: what to look at when a part goes back on."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

__all__ = ["RefitChecks", "refit_checks"]


@dataclass(frozen=True)
class RefitChecks:
    """`moved`: behind what was moved; `earth`: after work that may insulate a bracket, which `insulating` finds."""

    moved: str
    earth: str
    insulating: re.Pattern[str]

    def may_insulate(self, work: str) -> bool:
        """Whether a report of work speaks of something that may keep a bracket from carrying the earth."""
        return self.insulating.search(work) is not None


@lru_cache(maxsize=1)
def refit_checks() -> RefitChecks:
    """The program's data."""
    data = tomllib.loads(files("inventory.reference").joinpath("refit_checks.toml").read_text(encoding="utf-8"))
    words = "|".join(map(re.escape, data["earth"]["words"]))
    return RefitChecks(data["moved"]["says"], data["earth"]["says"], re.compile(rf"\b({words})", re.IGNORECASE))
