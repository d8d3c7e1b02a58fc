"""What is told about a sweep, the rule it is held against, and what was worked out from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inventory.bench.methods.sweep.curve import Sweep
from inventory.bench.verdicts import Verdict

__all__ = ["Found", "Ratio", "Reference", "Row", "State", "SweepInput", "SweepRules", "Zone"]

State = Literal["within", "beyond", "undecided", "nothing"]
"""How a zone lies to its limit; "nothing" where no point of it can be told."""


@dataclass(frozen=True)
class SweepRules:
    """What counts: `difference` and `gap` as shares of the inductance, from `points` vacua each way.

    Below `boundary_pa` of vacuum is full load, from there on light load; `boundary` is that in the words of the data.
    Frequencies further apart than `frequency_apart` (a share) are two; temperatures further apart than
    `ambient_apart_k` are said; beyond `nominal_pa` nothing should be drawn.
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
    empty. `doubts`: what speaks against trusting it. `known`: what else is on record of it. `facts`: the ids of that.
    """

    name: str
    sweep: Sweep | None = None
    hindrance: str = ""
    doubts: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class SweepInput:
    """A sweep, and what it is compared with where that was named."""

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
    """Several ratios held against one limit; `worst` is the one that says most, None where there is none."""

    state: State
    worst: Ratio | None = None


@dataclass(frozen=True)
class Row:
    """What stands at one vacuum: inductances in H as read or on the straight line, None where there is none."""

    vacuum: str
    vacuum_pa: float
    down_h: float | None
    up_h: float | None
    reference_down_h: float | None
    reference_up_h: float | None
    difference: Ratio | None
    gap: Ratio | None


@dataclass(frozen=True)
class Found:
    """A sweep worked out. `hindrance`: why it was compared with nothing, else empty. `comparison`: the finding's word.

    `beyond`: how many vacua lie outside the reference's; `same_meter`: whether one named meter read both.
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
