"""Whether an instrument was in date on the day of a run, and whether it can be trusted.

Pure. Days are ISO 8601 text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

from inventory.bench.quantities.correction import FEWEST_POINTS, CorrectionLine, straight_line
from inventory.bench.quantities.readings import split_reading
from inventory.bench.quantities.units import Dimension, Quantity, parse_quantity
from inventory.errors import Refused

__all__ = [
    "FAILED",
    "NOT_PASSED",
    "PASSED",
    "RESULTS",
    "Calibrated",
    "correction_line",
    "dimension_of",
    "doubt_of",
    "in_force",
    "out_of_date",
]

PASSED, FAILED = "passed", "failed"
NOT_PASSED = "not passed"
"""The word for failed that people see."""
RESULTS = (PASSED, FAILED)


@dataclass(frozen=True)
class Calibrated:
    """One calibration: the day it counts from, its result, the day the next is due, its points, the fact's id.

    `points` are `SHOWN=TRUE` as typed; `due` is None if no day was given.
    """

    day: str
    result: str
    due: str | None
    points: tuple[str, ...]
    fact: str


def in_force(calibrations: Sequence[Calibrated], day: str) -> Calibrated | None:
    """The last on or before a day; `calibrations` oldest first."""
    return next((each for each in reversed(calibrations) if each.day <= day), None)


def doubt_of(calibrations: Sequence[Calibrated], day: str) -> tuple[str, tuple[str, ...]]:
    """Why a run of that day is doubtful, with the facts behind it; empty if it is not.

    It is doubtful if the last calibration before it or the first after it failed: nothing shows that the instrument
    read right between the last good calibration and the failed one.
    """
    before = in_force(calibrations, day)
    after = next((each for each in calibrations if each.day > day), None)
    failed = next((each for each in (before, after) if each is not None and each.result == FAILED), None)
    if failed is None:
        return "", ()
    good = [each for each in calibrations if each.result == PASSED and each.day <= min(day, failed.day)]
    since = f"nothing shows that it read right since {good[-1].day}" if good else "no calibration before it was good"
    facts = (failed.fact, good[-1].fact) if good else (failed.fact,)
    return f"did not pass its calibration of {failed.day}; {since}", facts


def out_of_date(calibrations: Sequence[Calibrated], first_due: str | None, day: str) -> str:
    """The day on which the calibration ran out before a run; empty if it was in date or has no due day."""
    before = in_force(calibrations, day)
    due = first_due if before is None else before.due
    return due if due is not None and due < day else ""


def dimension_of(text: str) -> Dimension | None:
    """The dimension of a typed quantity; None if it is not a quantity."""
    for dimension in get_args(Dimension):
        try:
            parse_quantity(text, dimension)
        except Refused:
            continue
        return dimension  # type: ignore[no-any-return]
    return None


def correction_line(points: Sequence[str], *, where: str = "point") -> tuple[Dimension, CorrectionLine]:
    """The dimension of points `SHOWN=TRUE` and the line through them, in SI. Raises `Refused` if there is none."""
    pairs = [_point(text, where) for text in points]
    dimension = pairs[0][0] if pairs else None
    if dimension is None or any(each[0] != dimension for each in pairs):
        raise Refused("points-mixed", "all points of a calibration must measure the same quantity", where=where)
    shown = [each[1].si for each in pairs]
    try:
        line = straight_line(shown, [each[2].si - each[1].si for each in pairs])
    except ValueError:
        raise Refused(
            "too-few-points",
            f"a correction line needs {FEWEST_POINTS} points at different readings; there are {len(pairs)}",
            where=where,
            hint="write each as SHOWN=TRUE, e.g. 100.2ohm=100.0ohm",
        ) from None
    return dimension, line


def _point(text: str, where: str) -> tuple[Dimension, Quantity, Quantity]:
    left, right = split_reading(text, where)
    dimension = dimension_of(right)
    if dimension is None:
        hint = "write SHOWN=TRUE, e.g. 100.2ohm=100.0ohm"
        raise Refused("no-point", f'"{text}" is not a calibration point', where=where, hint=hint)
    shown, true = parse_quantity(left, dimension, where=where), parse_quantity(right, dimension, where=where)
    if shown.beyond or true.beyond:
        raise Refused("no-point", f'"{text}": a calibration point cannot be out of range', where=where)
    return dimension, shown, true
