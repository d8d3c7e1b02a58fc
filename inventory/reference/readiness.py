"""Reference data: the rules by which a part may go back on a car, and the words that they look for."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any, Literal

from inventory.reasons import Standing

__all__ = ["Level", "ReadinessRule", "ReadinessRules", "readiness_rules"]

Level = Literal["stop", "note"]


@dataclass(frozen=True)
class ReadinessRule:
    """One rule. `own`: its level for a part that came off that very car; `ran`: if the car ran on it, untouched since.

    `kinds`: the kinds of part it is about, all if empty. `says` and `mend` are filled in from the record.
    """

    name: str
    level: Level
    own: Level
    ran: Level
    kinds: tuple[str, ...]
    says: str
    mend: str
    standing: Standing
    source: str

    def is_about(self, kind: str) -> bool:
        """Whether it is about parts of a kind."""
        return not self.kinds or kind in self.kinds


@dataclass(frozen=True)
class ReadinessRules:
    """All rules by name, the figure for fuel hoses in years, and the words to look for."""

    rules: Mapping[str, ReadinessRule]
    last: tuple[tuple[str, tuple[str, ...]], ...]
    fuel_hose_years: float
    words: Mapping[str, re.Pattern[str]]

    def speaks_of(self, topic: str, text: str) -> bool:
        """Whether a text has a word of a topic ("mount", "unsound", "fuel", "hose", "renewed") that is not denied."""
        return bool(self.words[topic].search(text))

    def last_for(self, kind: str) -> tuple[str, ...]:
        """What to do with a part of a kind just before it goes on."""
        return tuple(says for says, kinds in self.last if kind in kinds)


@lru_cache(maxsize=1)
def readiness_rules() -> ReadinessRules:
    """The program's data."""
    text = files("inventory.reference").joinpath("readiness.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    denied = "".join(rf"(?<!\b{re.escape(word)} )" for word in data["words"].pop("denied"))
    return ReadinessRules(
        {row["name"]: _rule(row) for row in data["rule"]},
        tuple((row["says"], tuple(row["kinds"])) for row in data["last"]),
        float(data["figure"]["fuel-hose"]["value"]),
        {topic: re.compile(rf"{denied}\b({_any(words)})\b", re.IGNORECASE) for topic, words in data["words"].items()},
    )


def _rule(row: Mapping[str, Any]) -> ReadinessRule:
    level = row["level"]
    return ReadinessRule(
        name=row["name"],
        level=level,
        own=row.get("own", level),
        ran=row.get("ran", level),
        kinds=tuple(row.get("kinds", ())),
        says=row["says"],
        mend=row["mend"],
        standing=row["standing"],
        source=row["source"],
    )


def _any(words: list[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
