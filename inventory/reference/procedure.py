"""Reference data: what the bench can do to each kind of part, read, limited and sourced; one TOML file a procedure."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.errors import UnknownName
from inventory.reasons import Standing
from inventory.reference.load import kind

__all__ = ["Figure", "Procedure", "ReadingSpec", "procedure", "procedures", "procedures_for"]


@dataclass(frozen=True)
class Figure:
    """One number of a rule, with its unit, its words and where it comes from."""

    value: float
    unit: str
    says: str
    standing: Standing
    source: str


@dataclass(frozen=True)
class ReadingSpec:
    """One thing that a procedure reads on a kind.

    `law` is how it goes with temperature: "copper", or "insulation", which is not carried.
    `low` and `high` are the limits in `unit` (at 20 degC for copper), None where none is on file.
    """

    kind: str
    name: str
    unit: str
    law: str
    low: float | None
    high: float | None
    standing: Standing
    source: str


@dataclass(frozen=True)
class Procedure:
    """One way of testing: what it shows, its steps in the trade's words, its figures and readings.

    `method` says how its readings are read and judged.
    """

    name: str
    method: str
    title: str
    shows: str
    reads: str
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    figures: dict[str, Figure]
    readings: tuple[ReadingSpec, ...]

    def readings_of(self, kind_name: str) -> tuple[ReadingSpec, ...]:
        """What is read on one kind; empty where nothing is on file for it."""
        return tuple(spec for spec in self.readings if spec.kind == kind_name)


@lru_cache(maxsize=1)
def procedures() -> tuple[Procedure, ...]:
    """Every procedure that the bench can do."""
    return tuple(_procedure(row) for row in _files())


def _procedure(row: dict[str, Any]) -> Procedure:
    return Procedure(
        name=row["name"],
        method=row["method"],
        title=row["title"],
        shows=row["shows"],
        reads=row["reads"],
        steps=tuple(row["steps"]),
        cautions=tuple(row["cautions"]),
        figures={name: Figure(**figure) for name, figure in row["figures"].items()},
        readings=tuple(_reading(reading) for reading in row.get("reading", ())),
    )


def procedure(name: str) -> Procedure:
    """The procedure of that name; an unknown one is refused with those there are."""
    for each in procedures():
        if each.name == name.strip().casefold():
            return each
    raise UnknownName("procedure", name, [each.name for each in procedures()], where="procedure")


def procedures_for(kind_name: str) -> tuple[Procedure, ...]:
    """What the bench can do to one kind, in the order it should be done."""
    return tuple(procedure(name) for name in kind(kind_name).procedures)


def _files() -> list[dict[str, Any]]:
    """Every procedure's file, by name."""
    folder = files("inventory.reference") / "procedures"
    found = sorted((each for each in folder.iterdir() if each.name.endswith(".toml")), key=lambda each: each.name)
    return [tomllib.loads(each.read_text(encoding="utf-8")) for each in found]


def _reading(row: dict[str, Any]) -> ReadingSpec:
    return ReadingSpec(
        kind=row["kind"],
        name=row["name"],
        unit=row["unit"],
        law=row["law"],
        low=row.get("low"),
        high=row.get("high"),
        standing=row.get("standing", "workshop judgement"),
        source=row.get("source", "no limit on file"),
    )
