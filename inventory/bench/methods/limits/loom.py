"""Readings at the control unit's plug (unit unplugged) and at the part; the difference is the loom's. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Protocol

from inventory.bench.verdicts import TWO_SIDED, RunJudgement
from inventory.reasons import WORKSHOP, Reason

__all__ = ["LoomShare", "Reading", "judge_at_plug", "judge_wiring", "loom_difference", "loom_shares"]

RULE = (
    f"a reading at the part and one at the control unit's plug differ by the loom; the difference counts only if it is "
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
    """A run from the record with its judgement."""

    @property
    def fact(self) -> _Fact: ...
    @property
    def judgement(self) -> _Judgement: ...
    @property
    def procedure(self) -> str: ...


@dataclass(frozen=True)
class LoomShare:
    """The loom's share in one reading: `difference` (plug minus part) in `unit`, with its expanded uncertainty (k = 2).

    Each is None if one end was beyond the meter's range, the uncertainty also if the meter's accuracy is not known.
    """

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
    """One reading at one end: its value and expanded uncertainty (k = 2, None: not known) in `unit`.

    `value` is None for a reading beyond the range.
    """

    value: float | None
    expanded_uncertainty: float | None
    unit: str
    fact: str


def judge_at_plug(found: RunJudgement) -> RunJudgement:
    """The judgement on a run made at the plug: a pass covers part and loom, a fail may be either's, so undecided."""
    rule = "the loom is between the control unit's plug and the part"
    if found.verdict != "fail":
        reason = Reason("measured at the control unit's plug: part and loom together", rule, "no source", WORKSHOP)
        return replace(found, reasons=(*found.reasons, reason))
    says = f"{found.says}; measured at the control unit's plug, so it may be the loom: measure at the part"
    reason = Reason("the part or the loom: the same reading at the part shows which", rule, "no source", WORKSHOP)
    return replace(found, verdict="undecided", says=says, reasons=(*found.reasons, reason))


def judge_wiring(found: RunJudgement, wiring: str) -> RunJudgement:
    """The judgement on a run that measures the car's wiring at a part: the part itself is not judged.

    The verdict on the wiring stands in the sentence and under the figure `wiring_verdict`.
    """
    says = f"{wiring}: {found.verdict.upper()}, which says nothing of the unit. {found.says}"
    rule = "what the car brings to the plug is the car's: put that right first, and measure again"
    reason = Reason(f"{wiring} were measured, not the unit", rule, "no source", WORKSHOP)
    figures = found.figures | {"wiring_verdict": found.verdict}
    return replace(found, verdict="not judged", says=says, figures=figures, reasons=(reason, *found.reasons), covers=())


def loom_shares(runs: Iterable[_Run]) -> tuple[LoomShare, ...]:
    """The loom's share in every reading that was made at the part and at the plug; the last of each counts."""
    last: dict[tuple[str, str], dict[str, Reading]] = {}
    for run in runs:
        measured_at = run.fact.values["conditions"].get("at")
        for name, figures in run.judgement.figures.items():
            found = _reading(figures, run.fact.id) if isinstance(figures, Mapping) else None
            if found is not None:
                last.setdefault((run.procedure, name), {})["plug" if measured_at == "plug" else "part"] = found
    return tuple(
        loom_difference(procedure, name, ends["part"], ends["plug"])
        for (procedure, name), ends in last.items()
        if len(ends) == 2 and ends["part"].unit == ends["plug"].unit
    )


def loom_difference(procedure: str, name: str, part: Reading, plug: Reading) -> LoomShare:
    """One reading at both ends: what the loom adds, and whether that is more than the meter's error."""
    about = f"{procedure}, {name}, part and plug"
    facts = (part.fact, plug.fact)
    if part.value is None or plug.value is None:
        if plug.value is None and part.value is not None:
            says = f"{about}: beyond the range at the plug but not at the part: a wire or terminal of the loom is open"
        elif part.value is None and plug.value is not None:
            says = f"{about}: less at the plug than at the part: the loom leaks between two wires, or to earth"
        else:
            says = f"{about}: beyond the range at both: it says nothing about the loom"
        return LoomShare(procedure, name, None, None, part.unit, says, Reason(says, RULE, "no source", WORKSHOP, facts))
    difference = plug.value - part.value
    told = f"{abs(difference):.3g} {part.unit}"
    if part.expanded_uncertainty is None or plug.expanded_uncertainty is None:
        says = f"{about}: {told} difference; the meter's accuracy is not known here, so it is not judged"
        reason = Reason(says, RULE, "no source", WORKSHOP, facts)
        return LoomShare(procedure, name, difference, None, part.unit, says, reason)
    u = math.hypot(part.expanded_uncertainty, plug.expanded_uncertainty) / 2.0
    told += f", give or take {2.0 * u:.2g}"
    if abs(difference) <= TWO_SIDED * u:
        says = f"{about}: {told}: within the meter's error, so it shows nothing of the loom"
    elif difference > 0:
        says = f"{about}: {told} more at the plug: the wires and terminals of the loom"
    else:
        says = f"{about}: {told} less at the plug: the loom leaks between wires, or the part was at another temperature"
    reason = Reason(says, RULE, "no source", WORKSHOP, facts)
    return LoomShare(procedure, name, difference, 2.0 * u, part.unit, says, reason)


def _reading(figures: Mapping[str, Any], fact: str) -> Reading | None:
    """One reading from a run's figures, by the keys of the methods; None if it is not a number."""
    ohms = (("at_20_degc_ohm", "expanded_uncertainty_ohm"), ("as_read_ohm", "expanded_uncertainty_ohm"))
    for value, doubt in (("as_read", "expanded_uncertainty"), *ohms):
        if figures.get(value) is not None:
            return Reading(figures[value], figures.get(doubt), figures.get("unit", "ohm"), fact)
    if figures.get("at_least") is None and figures.get("at_least_ohm") is None:
        return None
    return Reading(None, None, figures.get("unit", "ohm"), fact)
