"""Input, rules and results of a resistance run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from inventory.bench.quantities.correction import CorrectionLine
from inventory.bench.quantities.readings import MeterSpec, NamedReading
from inventory.bench.quantities.repeats import guard_for
from inventory.bench.quantities.uncertainty import Result, effective_freedom
from inventory.bench.quantities.units import ZERO_CELSIUS_K, Quantity
from inventory.bench.verdicts import GUARD
from inventory.reference.procedure import ReadingSpec

__all__ = ["ResistanceInput", "ResistanceRules"]


@dataclass(frozen=True)
class ResistanceRules:
    """The rules for a resistance run.

    `alpha_per_k` is copper's temperature coefficient at 20 degC, `source_of_alpha` its source. If no temperature was
    noted, `assumed_degc` is used, uncertain by `assumed_half_width_k`; a part just off the engine may be hotter by
    `just_off_half_width_k`, one brought in from elsewhere hotter or colder by it. `overrange_ohm` is the bound for a
    bare `OL`. `assumed_meter` is used if none was named. Below `leads_matter_ohm` the leads should be noted; a reading
    up to `usual_leads_ohm` may be the leads alone. `doubt_of` gives the factor by which the limit of a reading may be
    out.
    """

    specs: tuple[ReadingSpec, ...]
    alpha_per_k: float
    source_of_alpha: str
    assumed_degc: float
    assumed_half_width_k: float
    just_off_half_width_k: float
    overrange_ohm: float
    assumed_meter: MeterSpec
    leads_matter_ohm: float
    usual_leads_ohm: float
    doubt_of: Callable[[ReadingSpec], float]

    def spec(self, name: str) -> ReadingSpec | None:
        """The specification of the reading of that name; None if there is none."""
        return next((spec for spec in self.specs if spec.name == name), None)

    def half_width_k(self, given: ResistanceInput) -> float:
        """Half-width of the part's assumed temperature, K, before the heat of a warm engine."""
        own = self.assumed_half_width_k if given.ambient is None else 0.0
        return own + (self.just_off_half_width_k if given.not_lain and not given.just_off else 0.0)

    def hotter_k(self, given: ResistanceInput) -> float:
        """How much hotter than assumed the part may be, K: just off the engine it can only be hotter."""
        return self.just_off_half_width_k if given.just_off else 0.0

    def degc(self, given: ResistanceInput) -> float:
        """The part's assumed temperature, degC."""
        return self.assumed_degc if given.ambient is None else given.ambient.si - ZERO_CELSIUS_K


@dataclass(frozen=True)
class ResistanceInput:
    """A resistance run as read: named resistances, the part's temperature, the meter and its resolution, if given.

    `just_off`: the part came off a warm engine; `not_lain`: it did not lie long enough to have the room's temperature.
    `leads` is the resistance of the
    meter's leads; `line` is the meter's correction line, in ohm.
    """

    readings: tuple[NamedReading, ...]
    ambient: Quantity | None = None
    meter: MeterSpec | None = None
    resolution: Quantity | None = None
    just_off: bool = False
    not_lain: bool = False
    leads: Quantity | None = None
    line: CorrectionLine | None = None


@dataclass(frozen=True)
class ReadingResult:
    """One reading with its result in ohm (at 20 degC if `copper`).

    `short`: the winding reads no more than the leads, with the certainty that a verdict needs.
    """

    reading: NamedReading
    spec: ReadingSpec | None
    result: Result
    copper: bool
    short: bool

    @property
    def guard(self) -> float:
        """Standard uncertainties between its result and a limit: more where its spread comes from few repeats."""
        return guard_for(effective_freedom(self.result.components)) if self.reading.repeats.count > 1 else GUARD
