"""A typed run, the context it is judged in, and the reading of its conditions.

What several procedures need is here; what only one needs is with its method.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from inventory.bench.quantities.clock import clock_minutes
from inventory.bench.quantities.correction import CorrectionLine
from inventory.bench.quantities.units import Dimension, Quantity, parse_quantity
from inventory.errors import Refused
from inventory.reference.data import Reference

if TYPE_CHECKING:
    from inventory.reference.procedure import Procedure


from typing import Protocol

__all__ = [
    "InstrumentUsed",
    "Pair",
    "ReferenceRun",
    "RigDay",
    "RigRun",
    "RunContext",
    "RunFact",
    "TypedRun",
    "TypedWords",
]

_AMBIENT_K = (213.15, 473.15)


@dataclass(frozen=True)
class ReferenceRun:
    """The run of another part that a run is compared with.

    `name` is that part's tag; `missing` says why there is no such run, else it is empty. `doubts` are reasons not to
    trust the part, `known` is what else is on record of it, `facts` are the ids of the facts behind both.
    """

    name: str
    part_number: str = ""
    readings: tuple[str, ...] = ()
    conditions: Mapping[str, object] = field(default_factory=dict)
    missing: str = ""
    doubts: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class InstrumentUsed:
    """The instrument that a run names, as it was described on the day of the run.

    `specification`, `resolution` and `dial_unit` as typed, empty if none is on file. `line` corrects readings of the
    quantity `corrects`, in SI. `due` is the day its calibration ran out before the run, `doubt` says why its readings
    are doubtful, `missing` why nothing is known of it; each is empty if it does not apply. `facts` are the ids of the
    facts behind these.
    """

    name: str
    specification: str = ""
    resolution: str = ""
    corrects: Dimension | None = None
    line: CorrectionLine | None = None
    due: str = ""
    doubt: str = ""
    missing: str = ""
    facts: tuple[str, ...] = ()
    dial_unit: str = ""


@dataclass(frozen=True)
class Pair:
    """The tags of the sensor and the control unit on a car on the day of a run; `facts` are the ids that show it."""

    sensor: str
    unit: str
    says: str
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class TypedRun:
    """A run as typed: the name of its procedure, its readings and conditions."""

    procedure: str
    readings: tuple[str, ...]
    conditions: Mapping[str, object] = field(default_factory=dict)

    @classmethod
    def of(cls, values: Mapping[str, Any]) -> TypedRun:
        """From the values of a run on record."""
        return cls(values["procedure"] or "", tuple(values["readings"]), values["conditions"])


@dataclass(frozen=True)
class RigRun:
    """A run on the same rig on the same day, as typed: what its blank and its readings show of the rig.

    `thing_id` is what was measured, `fact` the id of the run; the conditions are completed from its instrument.
    """

    fact: str
    thing_id: int
    procedure: str
    readings: tuple[str, ...]
    conditions: Mapping[str, object]
    instrument: InstrumentUsed | None = None


@dataclass(frozen=True)
class RigDay:
    """The other runs of a day on one rig, `before` and `after` a run, each in the order in which they were made.

    `thing_id` is what the run itself measured.
    """

    thing_id: int = 0
    before: tuple[RigRun, ...] = ()
    after: tuple[RigRun, ...] = ()

    @property
    def facts(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The ids of the runs before and after."""
        return tuple(run.fact for run in self.before), tuple(run.fact for run in self.after)


@dataclass(frozen=True)
class RunContext:
    """What a run is judged by besides its own text, in one state of the record.

    `kind` and `part_number` (as written) of what was measured, `data` the reference data with the limits in force,
    `reference` the run that the words name as one, `pair` what was on the car where a car was measured, `instrument`
    the one that the words name, `same_rig` the other runs of that day on the rig that the words name. One maker makes
    it for every door: `bench.runs.load_contexts.contexts`.
    """

    kind: str
    data: Reference
    part_number: str = ""
    reference: ReferenceRun | None = None
    pair: Pair | None = None
    instrument: InstrumentUsed | None = None
    same_rig: RigDay = field(default_factory=RigDay)


@dataclass(frozen=True)
class TypedWords:
    """A typed run with its procedure and context. Methods read its conditions by name."""

    procedure: Procedure
    context: RunContext
    readings: tuple[str, ...]
    conditions: Mapping[str, object] = field(default_factory=dict)

    @property
    def kind(self) -> str:
        """The kind of the measured part or car."""
        return self.context.kind

    def text(self, name: str) -> str:
        """A condition that is one text; empty if it was not noted."""
        value = self.conditions.get(name)
        return "" if value is None or isinstance(value, (list, tuple)) else str(value).strip()

    def texts(self, name: str) -> list[str]:
        """A condition that is a list of readings; a single text counts as a list of one."""
        value = self.conditions.get(name)
        if isinstance(value, str):
            return [value] if value else []
        return [str(each) for each in value] if isinstance(value, (list, tuple)) else []

    def flag(self, name: str) -> bool:
        """Whether a yes-or-no condition was noted as yes."""
        return self.text(name).casefold() in {"yes", "true"}

    def correction(self, dimension: Dimension) -> CorrectionLine | None:
        """The instrument's correction line for a dimension, in SI; None if it has none."""
        used = self.context.instrument
        return used.line if used is not None and used.corrects == dimension else None

    def quantity(self, name: str, dimension: Dimension, *, sized: bool = False) -> Quantity | None:
        """A condition that is a quantity; None if it was not noted. With `sized`, raises `Refused` for zero."""
        if not (text := self.text(name)):
            return None
        found = parse_quantity(text, dimension, where=name)
        if sized and (found.si <= 0.0 or found.beyond):
            raise Refused("no-size", f"{name} cannot be {found.spaced}", where=name)
        return found

    def measured_at(self) -> str:
        """Where it was measured: "part", "plug", or empty. Raises `Refused` for anything else."""
        measured_at = self.text("at").casefold()
        if measured_at not in ("", "part", "plug"):
            raise Refused(
                "no-such-spot",
                f'"{self.text("at")}" is not a place to measure at',
                where="at",
                hint="write part or plug",
            )
        return measured_at

    def clock(self) -> int | None:
        """The time of day in minutes since midnight; None if it was not noted. Raises `Refused` for anything else."""
        text = self.text("clock")
        found = clock_minutes(text)
        if text and found is None:
            hint = "write the hour and the minute of a 24-hour day, e.g. 14:35"
            raise Refused("no-clock", f'"{text}" is not a time of day', where="clock", hint=hint)
        return found

    def ambient(self, name: str = "ambient") -> Quantity | None:
        """The ambient temperature. Raises `Refused` if no part on a bench can have it."""
        found = self.quantity(name, "temperature")
        low, high = _AMBIENT_K
        if found is not None and not low <= found.si <= high:
            raise Refused(
                "no-ambient",
                f"a part on a bench cannot be at {found.spaced}",
                where=name,
                hint="give the part's own temperature, e.g. 20degC",
            )
        return found


class RunFact(Protocol):
    """What the context of a run depends on: a `FactView`, or a run that is not recorded yet."""

    @property
    def id(self) -> str:
        """The fact's id; empty for a run that is not written down."""

    @property
    def thing_id(self) -> int:
        """What was measured."""

    @property
    def on(self) -> str:
        """The day of the run, EDTF."""

    @property
    def counts_from(self) -> str:
        """The ISO day that it counts from."""

    @property
    def values(self) -> Mapping[str, Any]:
        """Its procedure, readings and conditions."""
