"""Facts about adjusters, switches and settings found on a car: what they read, never what they should read."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.adjusters.tables import AdjusterFound
from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Values, one_by_one
from inventory.facts.values import text

__all__ = ["FACTS"]

#: Signs that are units of their own: degrees, minutes and seconds of arc, per cent.
_UNIT_SIGNS = frozenset("°'′\"″%")


def _validate(_session: Session, draft: FactDraft) -> None:
    """Refuse a number without a unit; words (seized, lean stop) need none."""
    columns = draft.columns
    bare = next((each for each in (columns["before"], columns["after"]) if each and _is_number(each)), None)
    if bare is not None and not columns["unit"]:
        raise Refused(
            "unit-missing",
            f'Say in which unit "{bare}" was read',
            where="unit",
            hint="e.g. --set unit=clicks",
        )


def _is_number(reading: str) -> bool:
    bare = not any(sign.isalpha() or sign in _UNIT_SIGNS for sign in reading)
    return bare and any(sign.isnumeric() for sign in reading)


def _says(values: Values) -> str:
    before, after = (_with_unit(values[name], values["unit"]) for name in ("before", "after"))
    said = (f"{values['adjuster']}: {before} when found", after and f"{after} after the work", values["text"])
    return "; ".join(each for each in said if each)


def _with_unit(reading: str | None, unit: str | None) -> str | None:
    return f"{reading} {unit}" if reading and unit and _is_number(reading) else reading


FACTS = (
    FactKind(
        AdjusterFound,
        "adjuster found",
        ("car",),
        (
            text("adjuster", "idle air screw", "throttle stop", needed=True),
            text("before", "2.5", "seized", needed=True),
            text("after", "2.25"),
            text("unit", "clicks", "notches"),
            text("text", "paint mark still in line"),
        ),
        validate=one_by_one(_validate),
        says=_says,
        section=Section("adjusters", "Adjusters and switches, as found"),
    ),
)
"""One adjuster, switch or setting of a car, before the work and after it."""
