"""Fuel that was seen at a part, and the age of its fuel hose. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from inventory.contradictions.date_codes import made_in
from inventory.hardware.rubber import quarters_in
from inventory.reference.readiness import ReadinessRules
from inventory.refit.part_to_fit import OnRecord

__all__ = ["fuel_seen", "hose_age"]

_Facts = Mapping[str, Sequence[Any]]


def fuel_seen(facts: _Facts, rules: ReadinessRules, kind: str = "") -> OnRecord | None:
    """The last time fuel was seen at a part as it came off, or at its damage, unless what seals was renewed since.

    On a regulator's vacuum side only its diaphragm seals.
    """
    seen = [(fact, "at_port") for fact in facts.get("removal", ())[-1:]]
    seen += [(fact, "damage") for fact in facts.get("assessment", ())[-1:]]
    for fact, name in seen:
        text = fact.values.get(name) or ""
        inside = kind == "fuel pressure regulator" and rules.speaks_of("vacuum", text)
        seals = "diaphragm" if inside else "sealing"
        renewed = [each for each in _renewed(facts, rules) if rules.speaks_of(seals, each.values["what"])]
        if rules.speaks_of("fuel", text) and not any(_order(each) > _order(fact) for each in renewed):
            return OnRecord(text, fact.on, fact.id, _order(fact))
    return None


def hose_age(
    kind: str, position: str, part: Any, facts: _Facts, rules: ReadinessRules, today: str
) -> tuple[str, float | None] | None:
    """What tells the age of a part's fuel hose, and its full years (None: not known); None if it has no such hose.

    A part is a fuel hose, or has one, by the words at its position, on it, or among its connections. Renewed by work
    it is as old as that work; else the date on a hose counts, of several the oldest.
    """
    named = " ".join(filter(None, (position, part.marks, part.part_number))) if kind == "other" else ""
    joined = "; ".join(str(fact.values.get("connections") or "") for fact in facts.get("removal", ())[-1:])
    if not (_is_hose(rules, named) or any(_is_hose(rules, each) for each in joined.split(";"))):
        return None
    renewed = [fact for fact in _renewed(facts, rules) if rules.speaks_of("hose", fact.values["what"])]
    if renewed:
        last = renewed[-1]
        return f"{last.values['what']}, {last.on}", _years(last.earliest, today)
    codes = [each for each in joined.split(";") if _is_hose(rules, each)]
    codes = [part.date_code] if part.date_code and named else codes
    years = sorted(year for code in codes if (year := _year_of(code, today)))
    return (f"made in {years[0]}", _years(f"{years[0]}-12-31", today)) if years else ("", None)


def _year_of(code: str, today: str) -> int | None:
    """The year on a hose: in a date code, a quarter (3/12, Q3 2012), or alone; None if there is none of our time."""
    quarters = quarters_in(code)
    year = int(quarters[-1][:4]) if quarters else made_in(code)
    if year is None and (alone := re.fullmatch(r"(?:.*\D)?((?:19|20)\d\d)\D*", code.strip())):
        year = int(alone[1])
    return year if year is not None and year <= int(today[:4]) else None


def _is_hose(rules: ReadinessRules, text: str) -> bool:
    return rules.speaks_of("fuel", text) and rules.speaks_of("hose", text)


def _renewed(facts: _Facts, rules: ReadinessRules) -> list[Any]:
    return [fact for fact in facts.get("work", ()) if rules.speaks_of("renewed", fact.values["what"])]


def _order(fact: Any) -> tuple[str, str]:
    return fact.counts_from, fact.ranked


def _years(since: str, until: str) -> float:
    """Years between two ISO days."""
    from datetime import date

    return (date.fromisoformat(until) - date.fromisoformat(since)).days / 365.25
