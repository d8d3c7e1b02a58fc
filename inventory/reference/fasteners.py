"""Reference data: threads, clearance holes, rubber in store, and the words people write of fasteners."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing

__all__ = ["Fasteners", "Rubber", "fasteners"]


@dataclass(frozen=True)
class Rubber:
    """A group of rubbers: years in store from the cure, and years of one extension after inspection."""

    group: str
    years: int
    extension: int
    materials: tuple[str, ...]


@dataclass(frozen=True)
class Fasteners:
    """The data of fasteners.toml.

    `pitches`: mm, the coarse one first, by metric diameter. `holes`: clearance holes, mm: fine, medium, coarse.
    `across_flats`: mm, old and new. `tpi`: threads per inch, coarse and fine, by unified size; 0: none. `tapping`: the
    size of a sheet-metal screw by its former number. `steel`, `stainless`: property classes. `words`: for each sort of
    word what people write, with the program's word. `critical`, `apart`: where weaker never stands for what was there.
    """

    pitches: Mapping[str, tuple[float, ...]]
    holes: Mapping[str, tuple[float, ...]]
    across_flats: Mapping[str, tuple[float, ...]]
    tpi: Mapping[str, tuple[int, int]]
    tapping: Mapping[str, str]
    steel: tuple[str, ...]
    stainless: tuple[str, ...]
    words: Mapping[str, Mapping[str, str]]
    critical: re.Pattern[str]
    apart: re.Pattern[str]
    rubber: tuple[Rubber, ...]
    sources: Mapping[str, tuple[Standing, str]]

    def is_critical(self, text: str) -> bool:
        """Whether a position by this name carries brakes, steering, belts or the fuel rail."""
        return bool(self.critical.search(self.apart.sub("_", text)))


@lru_cache(maxsize=1)
def fasteners() -> Fasteners:
    """The program's data."""
    data = tomllib.loads(files("inventory.reference").joinpath("fasteners.toml").read_text(encoding="utf-8"))
    classes, critical = data["classes"], data["critical"]
    rubber = tuple(
        Rubber(name, row["years"], row["extension"], tuple(row["materials"]))
        for name, row in data["rubber"]["groups"].items()
    )
    return Fasteners(
        _tuples(data["metric"]["pitches"]),
        _tuples(data["holes"]["mm"]),
        _tuples(data["across_flats"]["mm"]),
        _tuples(data["unified"]["tpi"]),
        data["tapping"]["numbers"],
        tuple(classes["steel"]),
        tuple(classes["stainless"]),
        {sort: _spelled(words) for sort, words in data["words"].items()},
        _any_of(critical["words"]),
        _any_of(critical["apart"]),
        rubber,
        {name: (each["standing"], each["source"]) for name, each in data.items() if "source" in each},
    )


def _tuples(rows: Mapping[str, Any]) -> dict[str, Any]:
    return {name: tuple(row) for name, row in rows.items()}


def _spelled(words: Mapping[str, list[str]]) -> dict[str, str]:
    """The program's word by each spelling, longest spelling first."""
    every = {spelling: word for word, others in words.items() for spelling in (word, *others)}
    return {spelling: every[spelling] for spelling in sorted(every, key=len, reverse=True)}


def _any_of(words: list[str]) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, sorted(words, key=len, reverse=True)))})\b", re.IGNORECASE)
