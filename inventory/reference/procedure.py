"""Reference data: the bench procedures with their readings, limits and sources; one TOML file for each."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import FROM_MEMORY, Standing
from inventory.reference.load import caution
from inventory.reference.overrides import override_figures, override_procedures
from inventory.store.words.text import squeeze

__all__ = [
    "Figure",
    "OnlyAt",
    "PinList",
    "Procedure",
    "ReadingSpec",
    "figures_of_every_limit",
    "procedures_with",
]

_MEMORY_DOUBT = "memory_doubt"


@dataclass(frozen=True)
class Figure:
    """One number of a rule, with its unit, its meaning and its source."""

    value: float
    unit: str
    says: str
    standing: Standing
    source: str


@dataclass(frozen=True)
class OnlyAt:
    """The range of a condition within which a limit holds; `low` and `high` in `unit`."""

    condition: str
    low: float
    high: float
    unit: str


@dataclass(frozen=True)
class ReadingSpec:
    """One reading of a procedure on a kind, or on one part number of it (`number`, as written).

    `law` is the temperature law of a resistance: "copper", or "insulation" and "not carried" for none. `low` and `high`
    are the limits in `unit` (at 20 degC for copper), None if none is on file. For the method "limits": `form` is the
    form of the limit; `words` are the possible words instead of a number, `good` those that pass; `needs` are
    conditions that must be noted; the limit holds only `at` some conditions; a ratio is `of` one reading `to` another;
    `remark` is shown with it. `required`: without its limit the run is not judged. `instead`: the reading that it may
    be taken instead of. `own`: it is the workshop's own limit. `doubt`: the factor by which a limit from memory may be
    out, if not the usual one.
    """

    kind: str
    name: str
    unit: str
    law: str
    low: float | None
    high: float | None
    standing: Standing
    source: str
    form: str = ""
    number: str = ""
    required: bool = False
    words: tuple[str, ...] = ()
    good: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    at: tuple[OnlyAt, ...] = ()
    of: str = ""
    to: str = ""
    instead: str = ""
    doubt: float | None = None
    cautions: tuple[str, ...] = ()
    remark: str = ""
    own: bool = False


@dataclass(frozen=True)
class PinList:
    """The pins of a loom of one part number: each pin, and where its wire goes."""

    number: str
    pins: dict[str, str]
    source: str


@dataclass(frozen=True)
class Procedure:
    """One bench procedure: what it shows, its steps, its figures and readings.

    `method` says how its readings are read and judged; `beside` names the conditions that may be noted, if not those of
    the method; `never` the kinds on which it must not be done, with the reason. `wiring`: what it really measures,
    where that is the car's wiring and not the part. `sorts`: kinds of several sorts, which have no limits on file until
    the sort is known, and what is known of the sorts.
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
    beside: tuple[str, ...]
    never: dict[str, str]
    wiring: str = ""
    sorts: dict[str, str] = field(default_factory=dict)

    def doubt_of(self, spec: ReadingSpec) -> float:
        """The factor by which the limit of a reading may be out; 1 unless it is from memory, and not the workshop's."""
        if spec.standing != FROM_MEMORY or spec.own:
            return 1.0
        usual = self.figures.get(_MEMORY_DOUBT)
        return spec.doubt if spec.doubt is not None else usual.value if usual is not None else 1.0

    def readings_of(self, kind_name: str) -> tuple[ReadingSpec, ...]:
        """The readings on one kind; empty if none is on file for it."""
        return tuple(spec for spec in self.readings if spec.kind == kind_name and not spec.number)

    def every_reading_of(self, kind_name: str) -> tuple[ReadingSpec, ...]:
        """All readings on one kind, including limits for one part number only."""
        return tuple(spec for spec in self.readings if spec.kind == kind_name)

    def typed_readings(self, kind_name: str) -> tuple[tuple[str, str], ...]:
        """The readings that are typed by name on one kind, each with its unit or its possible words.

        It leaves out ratios. It is empty if readings are not typed by name: a curve, the pins of a loom.
        """
        if self.method == "curve":
            return ()  # any temperature between the points of its table can be read
        typed = [spec for spec in self.readings_of(kind_name) if spec.form not in ("ratio", "each pin", "between pins")]
        return tuple((spec.name, " or ".join(spec.words) or spec.unit) for spec in typed)

    def for_number(self, part_number: str) -> Procedure:
        """The procedure with the limits of one part number instead of its kind's."""
        wanted = squeeze(part_number)
        own = {(spec.kind, spec.name): spec for spec in self.readings if spec.number and squeeze(spec.number) == wanted}
        if not own:
            return self
        general = [spec for spec in self.readings if not spec.number]
        kept = [own.pop((spec.kind, spec.name), spec) for spec in general]
        return replace(self, readings=tuple(replace(spec, number="") for spec in (*kept, *own.values())))

    def cautions_of(self, kind_name: str) -> tuple[str, ...]:
        """The names of the cautions on one kind: those of the procedure, then those of its readings."""
        named = [*self.cautions, *(name for spec in self.readings_of(kind_name) for name in spec.cautions)]
        kinds = {name: caution(name).kinds for name in named}
        return tuple(dict.fromkeys(name for name in named if not kinds[name] or kind_name in kinds[name]))


def procedures_with(own: Mapping[str, Any]) -> tuple[Procedure, ...]:
    """The program's procedures with a workshop's limits and figures, then the workshop's own."""
    of_every_limit = override_figures(figures_of_every_limit(), own)
    return tuple(_procedure(row, of_every_limit) for row in override_procedures(_files(), own))


def _procedure(row: Mapping[str, Any], of_every_limit: Mapping[str, Any]) -> Procedure:
    readings = tuple(_reading(reading) for reading in row.get("reading", ()))
    figures = dict(row.get("figures", {}))
    if any(spec.standing == FROM_MEMORY and not spec.own and not spec.words for spec in readings):
        figures[_MEMORY_DOUBT] = of_every_limit[_MEMORY_DOUBT]
    return Procedure(
        name=row["name"],
        method=row["method"],
        title=row["title"],
        shows=row["shows"],
        reads=row["reads"],
        steps=tuple(row["steps"]),
        cautions=tuple(row["cautions"]),
        figures={name: Figure(**figure) for name, figure in figures.items()},
        readings=readings,
        beside=tuple(row.get("beside", ())),
        never=dict(row.get("never", {})),
        wiring=row.get("wiring", ""),
        sorts=dict(row.get("sorts", {})),
    )


@lru_cache(maxsize=1)
def _files() -> tuple[dict[str, Any], ...]:
    """Every procedure's file, by name."""
    folder = files("inventory.reference") / "procedures"
    found = sorted((each for each in folder.iterdir() if each.name.endswith(".toml")), key=lambda each: each.name)
    return tuple(tomllib.loads(each.read_text(encoding="utf-8")) for each in found)


@lru_cache(maxsize=1)
def figures_of_every_limit() -> dict[str, Any]:
    """The program's figures that hold for the limits of every procedure."""
    return tomllib.loads((files("inventory.reference") / "limits.toml").read_text(encoding="utf-8"))


def _reading(row: Mapping[str, Any]) -> ReadingSpec:
    several = {name: tuple(row.get(name, ())) for name in ("words", "good", "needs", "cautions")}
    return ReadingSpec(
        kind=row["kind"],
        name=row["name"],
        unit=row.get("unit", ""),
        law=row.get("law", ""),
        low=row.get("low"),
        high=row.get("high"),
        standing=row.get("standing", "workshop judgement"),
        source=row.get("source", "no limit on file"),
        form=row.get("form", ""),
        number=row.get("number", ""),
        required=row.get("required", False),
        at=tuple(OnlyAt(**at) for at in row.get("at", ())),
        of=row.get("of", ""),
        to=row.get("to", ""),
        instead=row.get("instead", ""),
        doubt=row.get("doubt"),
        remark=row.get("remark", ""),
        own=row.get("own", False),
        **several,
    )
