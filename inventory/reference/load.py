"""Reference data: kinds, cautions, seal states.

The data are TOML files beside this module, read once. Every number has its standing and source. `data.Reference` adds
a workshop's overrides; other code uses that.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing
from inventory.reference.overrides import override_kinds
from inventory.store.words.text import fold

__all__ = [
    "Caution",
    "Kind",
    "SealStateWord",
    "car_kind",
    "caution",
    "caution_names",
    "cautions_for",
    "cautions_for_work",
    "kinds_from",
    "near_kinds",
    "seal_states",
]

_WORDS = re.compile(r"\w+")


@dataclass(frozen=True)
class Kind:
    """What a part is. `role_in_pair` is "sensor" or "unit" for kinds that are calibrated in pairs, else empty."""

    name: str
    plural: str
    role_in_pair: str
    seals: tuple[str, ...]
    procedures: tuple[str, ...]
    match_code: bool
    moving_element: bool
    nicknames: tuple[str, ...]


@dataclass(frozen=True)
class Caution:
    """A hazard at a step: one line, the full text, and where it comes from. `words`: those of a report of such work."""

    name: str
    short: str
    text: str
    steps: tuple[str, ...]
    kinds: tuple[str, ...]
    standing: Standing
    source: str
    words: tuple[str, ...] = ()

    @property
    def line(self) -> str:
        """The line as shown, at most 78 characters, the word CARE first."""
        return f"CARE  {self.short}"

    @property
    def in_full(self) -> str:
        """The whole text with its standing and source."""
        return f"CARE  {self.text} ({self.standing}, {self.source})"


@dataclass(frozen=True)
class SealStateWord:
    """A state of a seal. `worst` is its rank, 1 the worst; None does not count."""

    name: str
    worst: int | None
    says: str


def kinds_from(own: Mapping[str, Any]) -> tuple[Kind, ...]:
    """The program's kinds with a workshop's overrides."""
    return tuple(_kind(row) for row in override_kinds(_read("kinds.toml")["kind"], own))


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


def cautions_for(step: str, kind_name: str = "", named: str = "") -> tuple[Caution, ...]:
    """The cautions at a step, worst first: for one kind, or without a kind for a whole car.

    `named`: what a part of the kind "other" is called, such as "fuel rail": cautions with words then go by these.
    """
    by_words = named if kind_name == "other" else ""
    return tuple(
        each
        for each in _cautions()
        if step in each.steps
        if not each.kinds or (_has_word_of(each, by_words) if by_words and each.words else kind_name in each.kinds)
    )


def cautions_for_work(what: str) -> tuple[Caution, ...]:
    """The cautions on work that is reported, or about to be, in these words, worst first."""
    return tuple(each for each in _cautions() if "work" in each.steps and _has_word_of(each, what))


def _has_word_of(caution: Caution, text: str) -> bool:
    said = f" {' '.join(_WORDS.findall(text.casefold()))} "
    return any(f" {' '.join(_WORDS.findall(word))} " in said for word in caution.words)


@lru_cache(maxsize=1)
def seal_states() -> tuple[SealStateWord, ...]:
    """The states of a seal, worst first, "never fitted" last."""
    return tuple(SealStateWord(row["name"], row.get("worst"), row["says"]) for row in _read("seals.toml")["state"])


@lru_cache(maxsize=1)
def program_digest() -> str:
    """The SHA-256 of all files of data that come with the program, by name."""
    digest = hashlib.sha256()
    for folder in ("", "procedures", "build_lists"):
        every = sorted(files("inventory.reference").joinpath(folder).iterdir(), key=lambda each: each.name)
        for each in every:
            if each.name.endswith((".toml", ".txt")):
                digest.update(each.name.encode() + each.read_bytes())
    return digest.hexdigest()


@lru_cache(maxsize=8)
def _read(name: str) -> dict[str, Any]:
    return tomllib.loads(files("inventory.reference").joinpath(name).read_text(encoding="utf-8"))


def _kind(row: Mapping[str, Any]) -> Kind:
    return Kind(
        name=row["name"],
        plural=row["plural"],
        role_in_pair=row.get("role_in_pair", ""),
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
            words=tuple(row.get("words", ())),
        )
        for row in _read("cautions.toml")["caution"]
    )
