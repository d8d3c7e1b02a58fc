"""Input, rules and results of a sweep."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inventory.bench.methods.sweep.curve import Sweep
from inventory.bench.verdicts import Verdict

__all__ = ["Ratio", "Reference", "Row", "State", "SweepInput", "SweepResult", "SweepRules", "Zone"]

State = Literal["within", "beyond", "undecided", "nothing"]
"""A zone compared with its limit; "nothing" if it has no point with a value."""


@dataclass(frozen=True)
class SweepRules:
    """The rules: `difference` and `gap` as shares of the inductance, at least `points` vacua each way.

    Less vacuum than `boundary_pa` is full load, the rest light load; `boundary` is the same in words. Frequencies that
    differ by more than `frequency_apart` (a share) cannot be compared; a temperature difference of more than
    `ambient_apart_k` is mentioned; nobody should draw past `nominal_pa`.
    """

    difference: float
    gap: float
    points: int
    boundary_pa: float
    boundary: str
    nominal_pa: float
    frequency_apart: float
    ambient_apart_k: float


@dataclass(frozen=True)
class Reference:
    """What a sweep is compared with.

    `name`: the tag of a trusted unit, or a specialist's sheet. `hindrance`: why nothing can be compared with it, else
    empty. `doubts`: reasons not to trust it. `known`: what else is on record of it. `facts`: the ids behind these.
    """

    name: str
    sweep: Sweep | None = None
    hindrance: str = ""
    doubts: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class SweepInput:
    """A sweep, and its reference if one was named."""

    sweep: Sweep
    reference: Reference | None = None


@dataclass(frozen=True)
class Ratio:
    """A relative difference at one vacuum (0.03 for 3 %) with its standard uncertainty; `vacuum` as typed."""

    vacuum: str
    vacuum_pa: float
    value: float
    u: float


@dataclass(frozen=True)
class Zone:
    """Several ratios compared with one limit; `worst` is the decisive one, None if there is none."""

    state: State
    worst: Ratio | None = None


@dataclass(frozen=True)
class Row:
    """The values at one vacuum: inductances in H, as read or interpolated, None if there is none."""

    vacuum: str
    vacuum_pa: float
    down_h: float | None
    up_h: float | None
    reference_down_h: float | None
    reference_up_h: float | None
    difference: Ratio | None
    gap: Ratio | None


@dataclass(frozen=True)
class SweepResult:
    """The result of a sweep. `hindrance`: why it could not be compared, else empty. `comparison`: the finding's word.

    `beyond`: how many vacua are outside the range of the reference. `same_meter`: one named meter measured both.
    """

    verdict: Verdict
    comparison: str | None
    light: Zone
    full: Zone
    gap: Zone
    rows: tuple[Row, ...]
    hindrance: str
    beyond: int
    same_meter: bool
