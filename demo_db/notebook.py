"""The notebook of the invented workshop: bench notes, one for each run, and the strip-down of the Green tourer."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

__all__ = ["Correction", "PartName", "Reading", "StripDown", "StripLine", "readings", "strip_down"]


@dataclass(frozen=True)
class PartName:
    """How the files refer to a part that has no tag yet: maker, part number, serial as written."""

    maker: str
    part_number: str
    serial: str


@dataclass(frozen=True)
class Reading:
    """One bench note. `readings`, `blanks`: "10s=48cmHg", "primary=94.1ohm", as a command takes them.

    `conditions`: the remaining options by name (resolution, volume, ambient, barometer, meter), each with its unit.
    `reference`: the part that a sweep is compared with.
    """

    file: str
    procedure: str
    part: PartName
    on: str
    by: str
    readings: tuple[str, ...]
    blanks: tuple[str, ...]
    conditions: dict[str, str]
    instrument: str
    note: str
    reference: PartName | None = None


@dataclass(frozen=True)
class Correction:
    """A mistake made when a part came off: the field, the right value, and the reason."""

    name: str
    to: str
    reason: str


@dataclass(frozen=True)
class StripLine:
    """One line of a strip-down. `stays`: why the part did not come off; empty for one that did.

    `seals`: seal and state. `photos`: file names of pictures.
    """

    kind: str
    maker: str
    part_number: str
    position: str
    serial: str = ""
    date_code: str = ""
    match_code: str = ""
    axis: str = ""
    fasteners: tuple[str, ...] = ()
    connections: tuple[str, ...] = ()
    mounts: tuple[str, ...] = ()
    bag: str = ""
    condition: int | None = None
    car_side: str = ""
    seals: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    photos: tuple[str, ...] = ()
    correction: Correction | None = None
    stays: str = ""


@dataclass(frozen=True)
class StripDown:
    """A day of taking a car apart. `care`: what was answered about battery, stands and fuel line."""

    car: str
    on: str
    by: str
    whose: str
    place: str
    care: str
    lines: tuple[StripLine, ...]


def readings() -> list[Reading]:
    """The bench notes, oldest first."""
    notes = [entry for entry in (files("demo_db") / "readings").iterdir() if entry.name.endswith(".txt")]
    return [_reading(note.name, note.read_text(encoding="utf-8")) for note in sorted(notes, key=lambda note: note.name)]


def _reading(file: str, text: str) -> Reading:
    several: dict[str, list[str]] = {"reading": [], "blank": []}
    once: dict[str, str] = {}
    for line in text.splitlines():
        key, colon, value = line.partition(": ")
        if not colon or key in once:
            raise ValueError(f'{file}: "{line}" is not "name: value", or the name occurs twice')
        if key in several:
            several[key].append(value)
        else:
            once[key] = value
    reference = once.pop("reference", "")
    return Reading(
        file=file,
        procedure=once.pop("procedure"),
        part=_part_name(once.pop("part")),
        on=once.pop("on"),
        by=once.pop("by"),
        readings=tuple(several["reading"]),
        blanks=tuple(several["blank"]),
        instrument=once.pop("instrument", ""),
        note=once.pop("note", ""),
        conditions=once,
        reference=_part_name(reference) if reference else None,
    )


def _part_name(text: str) -> PartName:
    maker, part_number, serial = text.split(" / ")
    return PartName(maker, part_number, serial)


def strip_down() -> StripDown:
    """The strip-down of the Green tourer, on a Saturday."""
    data = tomllib.loads((files("demo_db") / "strip_down.toml").read_text(encoding="utf-8"))
    lines = tuple(_strip_line(line) for line in data.pop("line"))
    return StripDown(**data, lines=lines)


def _strip_line(data: dict[str, Any]) -> StripLine:
    fields: dict[str, Any] = {name: tuple(value) if isinstance(value, list) else value for name, value in data.items()}
    fields["seals"] = tuple((seal["seal"], seal["state"]) for seal in data.get("seals", ()))
    if "correction" in data:
        fields["correction"] = Correction(**data["correction"])
    return StripLine(**fields)
