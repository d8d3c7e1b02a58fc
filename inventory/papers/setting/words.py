"""What a setting paper says: its note and statement, sweeps side by side, calibrations. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inventory.bench.typed_run import InstrumentUsed
from inventory.papers.page import Line
from inventory.store.days.date_words import day_words

if TYPE_CHECKING:
    from inventory.bench.runs.queries import RunView

__all__ = ["NOTE", "STATEMENT", "calibration_words", "sweep_lines"]

NOTE = (
    "This paper goes with the sensor. From its day on it says for which control unit the sensor is set, whatever the "
    "old letter says."
)
STATEMENT = (
    "Written on {day}. {by} set this sensor for the control unit named above. The figures are what was measured on "
    "the days given. Once a seal is disturbed, this paper no longer speaks for the sensor. It promises nothing about "
    "future condition.\n\nDate and signature: ................................................................"
)


def sweep_lines(before: RunView | None, after: RunView) -> tuple[Line, ...]:
    """The outcome of both sweeps, then the inductance at each vacuum, before and after."""
    lines = [_outcome("before", before) if before else Line("no sweep before the work is on record", "before")]
    lines.append(_outcome("after", after))
    was, now = _rows(before) if before else {}, _rows(after)
    for vacuum in now | was:
        said = [f"{name} {_henry(rows[vacuum])}" for name, rows in (("before", was), ("after", now)) if vacuum in rows]
        lines.append(Line(";   ".join(said), vacuum, keep=True))
    return tuple(lines)


def _rows(run: RunView) -> dict[str, dict[str, Any]]:
    """The points of a sweep, by vacuum."""
    rows: Any = run.judgement.figures.get("rows") or ()
    return {row["vacuum"]: row for row in rows}


def _outcome(word: str, run: RunView) -> Line:
    told = run.judgement.says_why.replace(" (--reference)", "")
    says = f"{run.judgement.verdict}, {day_words(run.fact.on)}, by {run.fact.by}: {told}"
    data = {"run": run.fact.id, "on": run.fact.on, "verdict": run.judgement.verdict, "figures": run.judgement.figures}
    return Line(says, word, keep=True, data=data)


def _henry(row: dict[str, Any]) -> str:
    ways = [f"{row[key]:g} H {word}" for key, word in (("down_h", "down"), ("up_h", "up")) if row[key] is not None]
    return ", ".join(ways) or "not read"


def calibration_words(used: InstrumentUsed) -> str:
    """An instrument's accuracy, and its calibration as it stood on the day of the run."""
    if used.missing:
        return used.missing
    stood = used.doubt or (f"calibration ran out on {used.due}" if used.due else "")
    if not stood:
        stood = "calibrated, in date" if used.facts else "no calibration on record"
    return "; ".join(filter(None, (used.specification, stood)))
