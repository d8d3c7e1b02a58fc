"""Reference data: the kinds, what the bench does to each, which care each step needs.

The data are TOML files beside this module, read once. Every number carries its standing and source. What a workshop
puts over them is merged in `data`, which is what everybody asks.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing
from inventory.reference.overrides import over_kinds
from inventory.store.text import fold

__all__ = [
    "Caution",
    "Kind",
    "SealStateWord",
    "car_kind",
    "caution",
    "caution_names",
    "cautions_for",
    "kinds_from",
    "near_kinds",
    "seal_states",
]


@dataclass(frozen=True)
class Kind:
    """What a part is. `half` is "sensor" or "unit" for one half of a calibrated pair, else empty."""

    name: str
    plural: str
    half: str
    seals: tuple[str, ...]
    procedures: tuple[str, ...]
    match_code: bool
    moving_element: bool
    nicknames: tuple[str, ...]


@dataclass(frozen=True)
class Caution:
    """A hazard at a step: one line, the full text, and where it comes from."""

    name: str
    short: str
    text: str
    steps: tuple[str, ...]
    kinds: tuple[str, ...]
    standing: Standing
    source: str

    @property
    def line(self) -> str:
        """The line as shown, at most 78 characters, the word CARE first."""
        return f"CARE  {self.short}"


@dataclass(frozen=True)
class SealStateWord:
    """What a look at a seal can find. `worst` is its rank, 1 the worst; None is passed over."""

    name: str
    worst: int | None
    says: str


def kinds_from(own: Mapping[str, Any]) -> tuple[Kind, ...]:
    """The program's kinds with a workshop's over them."""
    return tuple(_kind(row) for row in over_kinds(_read("kinds.toml")["kind"], own))


@lru_cache(maxsize=1)
def car_kind() -> Kind:
    """A whole car, as the bench knows it."""
    return _kind(_read("kinds.toml")["car"])


def near_kinds(name: str, kinds: Iterable[Kind]) -> list[str]:
    """Up to three kinds whose name, plural or nickname looks like what was typed."""
    from difflib import get_close_matches  # 5 ms, only on a refusal

    spelled = {fold(word): each.name for each in kinds for word in (each.name, each.plural, *each.nicknames)}
    close = get_close_matches(fold(name), spelled, n=5, cutoff=0.6)
    return list(dict.fromkeys(spelled[word] for word in close))[:3]


def caution(name: str) -> Caution:
    """One caution by its name in the data."""
    return next(each for each in _cautions() if each.name == name)


def caution_names() -> tuple[str, ...]:
    """The names of all cautions."""
    return tuple(each.name for each in _cautions())


def cautions_for(step: str, kind_name: str = "") -> tuple[Caution, ...]:
    """What to mind at a step, worst first: for one kind, or with none named for a car as a whole."""
    return tuple(each for each in _cautions() if step in each.steps and (not each.kinds or kind_name in each.kinds))


@lru_cache(maxsize=1)
def seal_states() -> tuple[SealStateWord, ...]:
    """What a look at a seal can find, worst first, "never fitted" last."""
    return tuple(SealStateWord(row["name"], row.get("worst"), row["says"]) for row in _read("seals.toml")["state"])


@lru_cache(maxsize=8)
def _read(name: str) -> dict[str, Any]:
    return tomllib.loads(files("inventory.reference").joinpath(name).read_text(encoding="utf-8"))


def _kind(row: Mapping[str, Any]) -> Kind:
    return Kind(
        name=row["name"],
        plural=row["plural"],
        half=row.get("half", ""),
        seals=tuple(row.get("seals", ())),
        procedures=tuple(row.get("procedures", ())),
        match_code=row.get("match_code", False),
        moving_element=row.get("moving_element", False),
        nicknames=tuple(row.get("nicknames", ())),
    )


@lru_cache(maxsize=1)
def _cautions() -> tuple[Caution, ...]:
    return tuple(
        Caution(
            name=row["name"],
            short=row["line"],
            text=row["text"],
            steps=tuple(row["steps"]),
            kinds=tuple(row.get("kinds", ())),
            standing=row["standing"],
            source=row["source"],
        )
        for row in _read("cautions.toml")["caution"]
    )
