"""What a resistance run is made of: readings, what is known of them, the rules on file, and one reading worked out."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.bench.quantities.correction import CorrectionLine
from inventory.bench.quantities.readings import MeterSpec, NamedReading
from inventory.bench.quantities.uncertainty import Result
from inventory.bench.quantities.units import ZERO_CELSIUS_K, Quantity
from inventory.reference.procedure import ReadingSpec

__all__ = ["ResistanceInput", "ResistanceRules"]


@dataclass(frozen=True)
class ResistanceRules:
    """What a resistance run is judged by.

    `alpha_per_k` is copper's coefficient at 20 degC, `source_of_alpha` where it comes from; without a temperature
    `assumed_degc` give or take `assumed_half_width_k` is taken; a part just off the engine adds
    `just_off_half_width_k`; `overrange_ohm` is what a bare `OL` means; `assumed_meter` stands in where no meter was
    named; below `leads_matter_ohm` the leads should be noted; up to `usual_leads_ohm` a reading may be nothing else.
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

    def spec(self, name: str) -> ReadingSpec | None:
        """What is on file for a reading of that name."""
        return next((spec for spec in self.specs if spec.name == name), None)

    def half_width_k(self, given: ResistanceInput) -> float:
        """Half-width of the part's assumed temperature, K."""
        own = self.assumed_half_width_k if given.ambient is None else 0.0
        return own + (self.just_off_half_width_k if given.just_off else 0.0)

    def degc(self, given: ResistanceInput) -> float:
        """The part's assumed temperature, degC."""
        return self.assumed_degc if given.ambient is None else given.ambient.si - ZERO_CELSIUS_K


@dataclass(frozen=True)
class ResistanceInput:
    """What was read: named resistances, the part's temperature, the meter and its resolution, where given.

    `just_off`: the part did not lie long enough to have the room's temperature. `leads` is what the meter's leads
    read alone; `line` sets right what the meter shows, in ohm.
    """

    readings: tuple[NamedReading, ...]
    ambient: Quantity | None = None
    meter: MeterSpec | None = None
    resolution: Quantity | None = None
    just_off: bool = False
    leads: Quantity | None = None
    line: CorrectionLine | None = None


@dataclass(frozen=True)
class Measured:
    """One reading worked out: what it comes to in ohm (at 20 degC where `copper`), and whether that is next to nothing.

    `short`: the winding reads no more than the leads do, as surely as a verdict wants.
    """

    reading: NamedReading
    spec: ReadingSpec | None
    result: Result
    copper: bool
    short: bool
