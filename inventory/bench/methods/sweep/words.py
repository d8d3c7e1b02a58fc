"""A sweep in words: what is said of it, and the reasons with their rules and sources.

What is found is told, with what would look like it. How to set it right is not: that is a specialist's work.
"""

from __future__ import annotations

from inventory.bench.methods.sweep.values import Found, Reference, SweepInput, SweepRules, Zone
from inventory.bench.verdicts import GUARD
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason

__all__ = ["reasons_of", "says_of"]

_NO_SOURCE = "no source"
_LIKE_THIS = {
    "differs at light load": "cells that no longer hold their own vacuum, or a core worn at that end of its travel",
    "differs at full load": "a full-load stop that was moved, a full-load diaphragm that gives way, or a worn core",
    "differs throughout": "a screw that was moved, dead cells, a worn core, or turns of the coil shorted",
    "gap between down and up": "a core that sticks or is worn, dirt in its travel, or a rig that leaks while read",
}
_CELLS = "evacuated cells answer to the pressure, not to the vacuum below the day's air: sweep both on one day"
_REMEDY = "no sweep says which; a specialist with the reference charts can, and nothing is turned before"


def says_of(found: Found, given: SweepInput, rules: SweepRules) -> str:
    """The finding in one sentence, worst first, with how surely."""
    gap = f"gap between down and up {_ratio(found.gap, rules.gap)}" if found.gap.worst else "no way back to compare"
    if found.hindrance:
        return f"not judged: {found.hindrance}; {gap}"
    zones = [("light load", found.light), ("full load", found.full)]
    zones.sort(key=lambda zone: zone[1].state != "beyond")
    told = ", ".join(f"{name} {_ratio(zone, rules.difference)}" for name, zone in zones)
    name = given.reference.name if given.reference else ""
    return f"{_headline(found, given.reference, name)}: {told}; {gap}"


def _headline(found: Found, reference: Reference | None, name: str) -> str:
    if reference is not None and reference.doubts:
        also = "; gap between down and up" if found.comparison else ""
        return f"undecided{also}; beside {name}, which is itself doubtful ({'; '.join(reference.doubts)})"
    if found.comparison is None:
        return f"undecided beside {name}"
    if found.comparison.startswith("differs"):
        return f"{found.comparison} from {name}"
    return f"like the reference {name}" if found.verdict == "pass" else f"{found.comparison}; beside {name}"


def _ratio(zone: Zone, limit: float) -> str:
    """`-6.2 % give or take 1.1 % at 10 cmHg (3 % counts)`."""
    if zone.worst is None:
        return "not told"
    worst = zone.worst
    gives = f"{100 * worst.value:+.1f} % give or take {200 * worst.u:.1f} % at {worst.vacuum}"
    return f"{gives} ({_share(limit)} counts)"


def reasons_of(found: Found, given: SweepInput, rules: SweepRules) -> tuple[Reason, ...]:
    """What the finding rests on, the finding itself first."""
    told = [_finding(found, given, rules)]
    if found.comparison in _LIKE_THIS:
        says = f"this would show like it: {_LIKE_THIS[found.comparison]}"
        told.append(Reason(says, _REMEDY, _NO_SOURCE, WORKSHOP))
    told += [_open(name, zone) for name, zone in _undecided(found)]
    if given.reference is not None:
        told.append(_reference(given.reference))
    if not found.hindrance:
        told += [_meter(found, given), _straight_lines(found)]
        told += _apart(given, rules)
    else:
        told.append(_no_reference_yet())
    return (*told, *_too_deep(given, rules))


def _finding(found: Found, given: SweepInput, rules: SweepRules) -> Reason:
    rule = (
        f"full load is less than {rules.boundary} of vacuum, light load that and more; a difference of "
        f"{_share(rules.difference)} from the reference or a gap of {_share(rules.gap)} counts, called only "
        f"{GUARD} standard uncertainties clear of it"
    )
    return Reason(says_of(found, given, rules), rule, _NO_SOURCE, WORKSHOP)


def _share(value: float) -> str:
    return f"{100 * value:g} %"


def _undecided(found: Found) -> list[tuple[str, Zone]]:
    zones = [("gap between down and up", found.gap)]
    if not found.hindrance:
        zones = [("light load", found.light), ("full load", found.full), *zones]
    return [(name, zone) for name, zone in zones if zone.state in ("undecided", "nothing")]


def _open(name: str, zone: Zone) -> Reason:
    if zone.state == "nothing":
        return Reason(f"{name}: no vacuum here can be told", "nothing is read beyond the ends of a curve", _NO_SOURCE)
    rule = "a finer step of meter or gauge, the same named meter for both, or more vacua each way would tell more"
    return Reason(f"{name}: too near what counts, or too few vacua, to call", rule, _NO_SOURCE, WORKSHOP)


def _reference(reference: Reference) -> Reason:
    known = "; ".join((*(f"doubtful: {doubt}" for doubt in reference.doubts), *reference.known))
    says = f"{reference.name} was named as the one that is trusted{f'; {known}' if known else ''}"
    rule = "a comparison is worth what its reference is worth; a doubtful one decides nothing"
    return Reason(says, rule, _NO_SOURCE, WORKSHOP, reference.facts)


def _no_reference_yet() -> Reason:
    says = "to be compared: a unit of the same number that you trust, swept with the same meter at the same frequency"
    return Reason(says, "inductance by itself proves nothing: only beside a good unit's", _NO_SOURCE, WORKSHOP)


def _meter(found: Found, given: SweepInput) -> Reason:
    source = "JCGM 100:2008, 4.3.7 and 5.1.2 (from memory)"
    meter = given.sweep.meter
    noted = f"no accuracy noted: {meter.spec.text} assumed" if meter.assumed else meter.spec.text
    if found.same_meter:
        says = f"the same meter for both, {meter.name} ({noted}): its scale falls out, its steps do not (k = 2)"
        return Reason(says, "uncertainty of a quotient, the common scale left out", source, FROM_MEMORY)
    says = f"not known to be the same meter ({noted}): what each scale may be out by counts in full (k = 2)"
    return Reason(says, "uncertainty of a quotient, both scales taken as rectangles", source, FROM_MEMORY)


def _straight_lines(found: Found) -> Reason:
    beyond = f"; {found.beyond} of {len(found.rows)} vacua lie beyond it and are not compared" if found.beyond else ""
    rule = (
        "between two points the straight line, uncertain by half the second derivative times the distances to both; "
        "a step of the gauge carried over by the slope"
    )
    says = f"compared at the vacua of this sweep{beyond}"
    return Reason(says, rule, "remainder of linear interpolation (from memory)", FROM_MEMORY)


def _apart(given: SweepInput, rules: SweepRules) -> list[Reason]:
    """What was not the same for both: the day's air, which widens, and the temperature, which nothing here corrects."""
    other = given.reference.sweep if given.reference else None
    if other is None:
        return []
    mine, told = given.sweep, []
    if mine.barometer_pa is None or other.barometer_pa is None:
        says = "no barometer noted for both: the air is taken to have stood the same"
        told.append(Reason(says, _CELLS, _NO_SOURCE, WORKSHOP))
    elif mine.barometer_pa != other.barometer_pa:
        apart = abs(mine.barometer_pa - other.barometer_pa) / 100.0
        told.append(Reason(f"the barometer stood {apart:.0f} hPa apart, which widens it", _CELLS, _NO_SOURCE, WORKSHOP))
    if mine.ambient_k is not None and other.ambient_k is not None:
        kelvin = abs(mine.ambient_k - other.ambient_k)
        if kelvin > rules.ambient_apart_k:
            says = f"the two were measured {kelvin:.0f} K apart, which is not corrected"
            told.append(Reason(says, "sweep both on one day in one room", _NO_SOURCE, WORKSHOP))
    return told


def _too_deep(given: SweepInput, rules: SweepRules) -> list[Reason]:
    deepest = given.sweep.down.points[-1]
    if deepest.vacuum_pa <= rules.nominal_pa * (1 + 1e-9):
        return []
    says = f"drawn to {deepest.vacuum}, past nominal: it can tear; hold it again"
    return [Reason(says, "never past nominal", "from memory, no official page known", FROM_MEMORY)]
