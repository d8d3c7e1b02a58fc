"""Comparisons with a trusted unit in words: what every such procedure says of reference, meter and limits."""

from __future__ import annotations

from typing import Any

from inventory.bench.methods.sweep.curve import Meter
from inventory.bench.methods.sweep.ratios import Zone
from inventory.bench.methods.sweep.reference import Reference
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason

__all__ = ["doubtful_words", "meter_reason", "open_reason", "ratio_words", "reference_reason", "share_words"]

_NO_SOURCE = "no source"


def share_words(value: float) -> str:
    """`3 %`."""
    return f"{100 * value:g} %"


def ratio_words(zone: Zone, limit: float) -> str:
    """`-6.2 % give or take 1.1 % at 10 cmHg (3 % counts)`."""
    if zone.worst is None:
        return "no value"
    worst = zone.worst
    gives = f"{100 * worst.value:+.1f} % give or take {200 * worst.u:.1f} % at {worst.shown}"
    return f"{gives} ({share_words(limit)} counts)"


def doubtful_words(reference: Reference[Any]) -> str:
    """`compared with J41N8-R, which is itself doubtful (...)`."""
    return f"compared with {reference.name}, which is itself doubtful ({'; '.join(reference.doubts)})"


def open_reason(name: str, zone: Zone, few: str) -> Reason:
    """Why a zone is neither within nor beyond its limit; `few` is what there may be too few of."""
    if zone.state == "nothing":
        return Reason(f"{name}: no {few} here has a value", "there is no value beyond the ends of a curve", _NO_SOURCE)
    return Reason(
        f"{name}: too close to the limit, or too few {few}, to decide",
        f"a finer meter or gauge, the same named meter for both, or more {few} would help",
        _NO_SOURCE,
        WORKSHOP,
    )


def reference_reason(reference: Reference[Any]) -> Reason:
    """What was named as trusted, and what is on record of it."""
    known = "; ".join((*(f"doubtful: {doubt}" for doubt in reference.doubts), *reference.known))
    says = f"{reference.name} was named as the trusted unit{f'; {known}' if known else ''}"
    rule = "a comparison is only as good as its reference; a doubtful one decides nothing"
    return Reason(says, rule, _NO_SOURCE, WORKSHOP, reference.facts)


def meter_reason(meter: Meter, *, same: bool) -> Reason:
    """Whether one named meter measured both, so that an error of its scale cancels out."""
    source = "JCGM 100:2008, 4.3.7 and 5.1.2 (from memory)"
    noted = f"no accuracy noted: {meter.spec.text} assumed" if meter.assumed else meter.spec.text
    if same:
        says = f"the same meter for both, {meter.name} ({noted}): its scale cancels out, its steps do not (k = 2)"
        return Reason(says, "uncertainty of a quotient without the common scale", source, FROM_MEMORY)
    says = f"not known to be the same meter ({noted}): the scale error of each counts in full (k = 2)"
    return Reason(says, "uncertainty of a quotient, both scales as rectangles", source, FROM_MEMORY)
