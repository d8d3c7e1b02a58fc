"""Readings at the control unit's plug, unit unplugged: part and loom together; what differs is the loom's. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Protocol

from inventory.bench.verdicts import TWO_SIDED, RunJudgement
from inventory.reasons import WORKSHOP, Reason

__all__ = ["Reading", "ThroughLoom", "at_the_plug", "loom_difference", "through_loom"]

RULE = (
    f"one reading at the part and at the control unit's plug differ by the loom; called only where the difference is "
    f"more than {TWO_SIDED} of its standard uncertainties"
)


class _Judgement(Protocol):
    @property
    def figures(self) -> dict[str, object]: ...


class _Fact(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def values(self) -> dict[str, Any]: ...


class _Run(Protocol):
    """A run as it is read from the record, with what it proves."""

    @property
    def fact(self) -> _Fact: ...
    @property
    def judgement(self) -> _Judgement: ...
    @property
    def procedure(self) -> str: ...


@dataclass(frozen=True)
class ThroughLoom:
    """The loom's share in one reading: `difference` (plug less part) in `unit`, with its
    expanded uncertainty (k = 2). None where one end was beyond the meter's range, or how far it is out is not known."""

    procedure: str
    reading: str
    difference: float | None
    expanded_uncertainty: float | None
    unit: str
    says: str
    reason: Reason

    def as_dict(self) -> dict[str, object]:
        """The object that stands in JSON."""
        return {
            "procedure": self.procedure,
            "reading": self.reading,
            "difference": self.difference,
            "expanded_uncertainty": self.expanded_uncertainty,
            "unit": self.unit,
            "says": self.says,
            "reasons": [self.reason.as_dict()],
        }


@dataclass(frozen=True)
class Reading:
    """One reading at one end: its value and expanded uncertainty (k = 2, None: not known) in `unit`; beyond the range:
    no value."""

    value: float | None
    expanded_uncertainty: float | None
    unit: str
    fact: str


def at_the_plug(found: RunJudgement) -> RunJudgement:
    """What a run made at the plug proves of the part: it passes part and loom together, and fails neither alone."""
    rule = "between the control unit's plug and the part lies the loom"
    if found.verdict != "fail":
        reason = Reason("measured at the control unit's plug: part and loom together", rule, "no source", WORKSHOP)
        return replace(found, reasons=(*found.reasons, reason))
    says = f"{found.says}; at the control unit's plug it may be the loom's: measure at the part"
    reason = Reason("the part or the loom: the same reading at the part tells which", rule, "no source", WORKSHOP)
    return replace(found, verdict="undecided", says=says, reasons=(*found.reasons, reason))


def through_loom(runs: Iterable[_Run]) -> tuple[ThroughLoom, ...]:
    """The loom's share in every reading whose last word at the part and last word at the plug are both on record."""
    last: dict[tuple[str, str], dict[str, Reading]] = {}
    for run in runs:
        spot = run.fact.values["conditions"].get("at")
        for name, figures in run.judgement.figures.items():
            found = _reading(figures, run.fact.id) if isinstance(figures, Mapping) else None
            if found is not None:
                last.setdefault((run.procedure, name), {})["plug" if spot == "plug" else "part"] = found
    return tuple(
        loom_difference(procedure, name, ends["part"], ends["plug"])
        for (procedure, name), ends in last.items()
        if len(ends) == 2 and ends["part"].unit == ends["plug"].unit
    )


def loom_difference(procedure: str, name: str, part: Reading, plug: Reading) -> ThroughLoom:
    """One reading at both ends: what the loom adds, and whether that is more than the meter may be out."""
    about = f"{procedure}, {name}, part and plug"
    facts = (part.fact, plug.fact)
    if part.value is None or plug.value is None:
        if plug.value is None and part.value is not None:
            says = f"{about}: beyond the range at the plug and not at the part: a wire or terminal of the loom is open"
        elif part.value is None and plug.value is not None:
            says = f"{about}: less at the plug than at the part: the loom leaks between two wires, or to earth"
        else:
            says = f"{about}: beyond the range at both: it says nothing of the loom"
        return ThroughLoom(
            procedure, name, None, None, part.unit, says, Reason(says, RULE, "no source", WORKSHOP, facts)
        )
    difference = plug.value - part.value
    told = f"{abs(difference):.3g} {part.unit}"
    if part.expanded_uncertainty is None or plug.expanded_uncertainty is None:
        says = f"{about}: {told} apart; how far the meter may be out is not known here, so it is not called"
        reason = Reason(says, RULE, "no source", WORKSHOP, facts)
        return ThroughLoom(procedure, name, difference, None, part.unit, says, reason)
    u = math.hypot(part.expanded_uncertainty, plug.expanded_uncertainty) / 2.0
    told += f", give or take {2.0 * u:.2g}"
    if abs(difference) <= TWO_SIDED * u:
        says = f"{about}: {told}: no more than the meter may be out, so nothing is seen of the loom"
    elif difference > 0:
        says = f"{about}: {told} more at the plug: that is the loom's, wire and terminals"
    else:
        says = f"{about}: {told} less at the plug: the loom leaks between wires, or the part was at another temperature"
    reason = Reason(says, RULE, "no source", WORKSHOP, facts)
    return ThroughLoom(procedure, name, difference, 2.0 * u, part.unit, says, reason)


def _reading(figures: Mapping[str, Any], fact: str) -> Reading | None:
    """One reading among a run's figures, by the keys of the methods; None where it is no number."""
    ohms = (("at_20_degc_ohm", "expanded_uncertainty_ohm"), ("as_read_ohm", "expanded_uncertainty_ohm"))
    for value, doubt in (("as_read", "expanded_uncertainty"), *ohms):
        if figures.get(value) is not None:
            return Reading(figures[value], figures.get(doubt), figures.get("unit", "ohm"), fact)
    if figures.get("at_least") is None and figures.get("at_least_ohm") is None:
        return None
    return Reading(None, None, figures.get("unit", "ohm"), fact)
