"""Input, rules and results of a sweep."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.bench.methods.sweep.curve import Sweep
from inventory.bench.methods.sweep.ratios import Ratio, Zone
from inventory.bench.methods.sweep.reference import Reference
from inventory.bench.verdicts import Verdict

__all__ = ["Row", "SweepInput", "SweepResult", "SweepRules"]


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
class SweepInput:
    """A sweep, and its reference if one was named."""

    sweep: Sweep
    reference: Reference[Sweep] | None = None


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
