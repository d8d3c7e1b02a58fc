"""A hold from a logging gauge's csv: which readings are kept, and what is said of the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from inventory.bench.quantities.units import Dimension, Quantity, parse_quantity
from inventory.bench.runs.read_log import as_vacuum, read_logged, thinned, typed
from inventory.errors import Refused
from inventory.reference.procedure import Procedure

__all__ = ["FromFile", "readings_from"]

_MOST_KEPT = 240
"""How many readings of a file are kept: enough that a fit gives the same as on all of them."""


@dataclass(frozen=True)
class FromFile:
    """The readings kept as typed words, the conditions with the file noted among them, the sentence on what is kept."""

    readings: list[str]
    conditions: dict[str, object]
    says: str
    samples: int


def readings_from(path: Path, proc: Procedure, conditions: Mapping[str, object]) -> FromFile:
    """Read a file for a run. Raises `Refused` where the procedure is no curve, or the file holds none."""
    if proc.method != "hold":
        says = f"{proc.name} runs cannot be read from a gauge's file"
        raise Refused(
            "no-curve-wanted", says, where="readings-file", hint="only a hold can; type these readings with --reading"
        )
    since = _noted(conditions, "clock from", "time")
    curve = as_vacuum(read_logged(path, "pressure"), _noted(conditions, "barometer", "pressure"))
    kept = thinned(curve, _MOST_KEPT, since.si if since is not None else 0.0)
    if len(kept.time_s) < curve.samples:
        count = f"{len(kept.time_s)} readings of {curve.samples:,} in {path.name}"
        says = f"{count} are kept, each the middle of its stretch; the file is attached whole"
    else:
        count = f"{curve.samples} readings in {path.name}"
        says = f"all {count} are kept; the file is attached as well"
    note = "; ".join(filter(None, (str(conditions.get("note") or ""), count)))
    return FromFile(typed(kept), {**conditions, "note": note}, says, curve.samples)


def _noted(conditions: Mapping[str, object], name: str, dimension: Dimension) -> Quantity | None:
    text = str(conditions.get(name) or "")
    return parse_quantity(text, dimension, where=name) if text else None
