"""Reads a hold from a logging gauge's csv and keeps a part of its readings, or opening times from a logger's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from inventory.bench.quantities.units import Dimension, Quantity, parse_quantity
from inventory.bench.runs.read_log import as_typed, as_vacuum, read_logged, read_settings, thinned
from inventory.errors import Refused
from inventory.reference.procedure import Procedure

__all__ = ["FromFile", "readings_from"]

_MOST_KEPT = 240
"""How many readings of a file are kept: enough for the same fit as with all of them."""


@dataclass(frozen=True)
class FromFile:
    """The kept readings as typed, the conditions with a note on the file, and a sentence on what is kept."""

    readings: list[str]
    conditions: dict[str, object]
    says: str
    samples: int


def readings_from(path: Path, proc: Procedure, conditions: Mapping[str, object]) -> FromFile:
    """Read a file for a run. Raises `Refused` if the procedure takes none, or the file has no curve."""
    if proc.method == "pulse":
        return _opening_times(path, conditions)
    if proc.method != "hold":
        says = f"{proc.name} runs cannot be read from a gauge's file"
        hint = "only a hold or opening times can; type these readings with --reading"
        raise Refused("no-curve-wanted", says, where="readings-file", hint=hint)
    since = _noted(conditions, "clock from", "time")
    curve = as_vacuum(read_logged(path, "pressure"), _noted(conditions, "barometer", "pressure"))
    kept = thinned(curve, _MOST_KEPT, since.si if since is not None else 0.0)
    if len(kept.time_s) < curve.samples:
        count = f"{len(kept.time_s)} readings of {curve.samples:,} in {path.name}"
        says = f"{count} are kept, each the median of its stretch; the whole file is attached"
    else:
        count = f"{curve.samples} readings in {path.name}"
        says = f"all {count} are kept; the file is attached too"
    return FromFile(as_typed(kept), _with_note(conditions, count), says, curve.samples)


def _opening_times(path: Path, conditions: Mapping[str, object]) -> FromFile:
    """All opening times of a file, each with the inductance that was set."""
    readings = read_settings(path, "inductance")
    if len(readings) > _MOST_KEPT:
        says = f"{path.name} has {len(readings):,} rows; at most {_MOST_KEPT} are read"
        raise Refused("no-curve", says, where="readings-file", hint="take the mean of each setting's pulses first")
    count = f"{len(readings)} readings in {path.name}"
    says = f"all {count} are kept; the file is attached too"
    return FromFile(readings, _with_note(conditions, count), says, len(readings))


def _with_note(conditions: Mapping[str, object], count: str) -> dict[str, object]:
    return {**conditions, "note": "; ".join(filter(None, (str(conditions.get("note") or ""), count)))}


def _noted(conditions: Mapping[str, object], name: str, dimension: Dimension) -> Quantity | None:
    text = str(conditions.get(name) or "")
    return parse_quantity(text, dimension, where=name) if text else None
