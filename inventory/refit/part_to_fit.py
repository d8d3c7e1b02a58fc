"""A part that is to go on a car, with everything on record that decides whether it may: plain values. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from inventory.contradictions.looks import Contradiction

__all__ = ["Hold", "Mate", "OnRecord", "PartToFit"]


@dataclass(frozen=True)
class OnRecord:
    """Something on record: what, on which day (EDTF), its fact, and its place in the order of facts."""

    what: str
    on: str = ""
    fact: str = ""
    order: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class Hold:
    """The last run of a procedure, and whether an earlier one still stands as a pass. `ended`: what ended it since."""

    on: str
    fact: str
    verdict: str
    short: bool = False
    ended: str = ""
    ended_by: str = ""
    passed: bool = False


@dataclass(frozen=True)
class Mate:
    """The other unit of the pair on this car: its tag, number and letter, and whether the two numbers may fit."""

    tag: str
    number: str
    may_fit: bool
    letter: str = ""


@dataclass(frozen=True)
class PartToFit:
    """A part and everything on record that decides whether it may go on a position (`position` of `car`, by name).

    `own`: it last came off this car. `ran`: the car ran on it, and nothing was done to it since. `kind_there`,
    `numbers_there`: what the list says (`number_fits`: its number is one of them), `axis_there` the axis listed,
    `listed_by` who says so. `axis`: which way it is to lie. `letter`: its letter if clearly read. `facts`: its
    assessments, removals and work, by table, oldest first. `hose_age`: what tells the age of its fuel hose, and its
    years (None: not known); None if it has none. `leak`, `tight`: a leakage test that decided nothing, or passed.
    `mates`: None for a kind that is not paired.
    """

    tag: str
    kind: str
    number: str = ""
    car: str = ""
    position: str = ""
    own: bool = False
    ran: bool = False
    kind_there: str = ""
    numbers_there: tuple[str, ...] = ()
    number_fits: bool = True
    axis_there: str = ""
    listed_by: str = ""
    axis: str = ""
    moving_element: bool = False
    letter: str = ""
    seals: Mapping[str, str] = field(default_factory=dict)
    mates: tuple[Mate, ...] | None = None
    failed: tuple[OnRecord, ...] = ()
    claimed: tuple[OnRecord, ...] = ()
    hold: Hold | None = None
    leak: OnRecord | None = None
    tight: OnRecord | None = None
    away: OnRecord | None = None
    hose_age: tuple[str, float | None] | None = None
    fuel: OnRecord | None = None
    facts: Mapping[str, Sequence[Any]] = field(default_factory=dict)
    contradictions: tuple[Contradiction, ...] = ()
