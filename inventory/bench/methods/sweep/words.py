"""A sweep in words: the sentence, and the reasons with their rules and sources.

It says what was found and what could cause it. It never says how to repair it: that is a specialist's work.
"""

from __future__ import annotations

from inventory.bench.methods.sweep.values import Reference, SweepInput, SweepResult, SweepRules, Zone
from inventory.bench.verdicts import GUARD
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason

__all__ = ["reasons_of", "says_of"]

_NO_SOURCE = "no source"
_LIKE_THIS = {
    "differs at light load": "cells that have lost their own vacuum, or a core worn at that end of its travel",
    "differs at full load": "a moved full-load stop, a weak full-load diaphragm, or a worn core",
    "differs throughout": "a moved screw, dead cells, a worn core, or shorted turns of the coil",
    "gap between down and up": "a core that sticks or is worn, dirt in its travel, or a rig that leaks during reading",
}
_CELLS = "evacuated cells respond to the absolute pressure, not to the vacuum: sweep both on one day"
_REMEDY = "a sweep cannot show which; a specialist with the reference charts can, and until then nobody turns anything"


def says_of(found: SweepResult, given: SweepInput, rules: SweepRules) -> str:
    """The finding in one sentence, worst first, with its uncertainty."""
    gap = f"gap between down and up {_ratio(found.gap, rules.gap)}" if found.gap.worst else "no way back to compare"
    if found.hindrance:
        return f"not judged: {found.hindrance}; {gap}"
    zones = [("light load", found.light), ("full load", found.full)]
    zones.sort(key=lambda zone: zone[1].state != "beyond")
    told = ", ".join(f"{name} {_ratio(zone, rules.difference)}" for name, zone in zones)
    name = given.reference.name if given.reference else ""
    return f"{_headline(found, given.reference, name)}: {told}; {gap}"


def _headline(found: SweepResult, reference: Reference | None, name: str) -> str:
    if reference is not None and reference.doubts:
        also = "; gap between down and up" if found.comparison else ""
        return f"undecided{also}; compared with {name}, which is itself doubtful ({'; '.join(reference.doubts)})"
    if found.comparison is None:
        return f"undecided, compared with {name}"
    if found.comparison.startswith("differs"):
        return f"{found.comparison} from {name}"
    return f"like the reference {name}" if found.verdict == "pass" else f"{found.comparison}; compared with {name}"


def _ratio(zone: Zone, limit: float) -> str:
    """`-6.2 % give or take 1.1 % at 10 cmHg (3 % counts)`."""
    if zone.worst is None:
        return "no value"
    worst = zone.worst
    gives = f"{100 * worst.value:+.1f} % give or take {200 * worst.u:.1f} % at {worst.vacuum}"
    return f"{gives} ({_share(limit)} counts)"


def reasons_of(found: SweepResult, given: SweepInput, rules: SweepRules) -> tuple[Reason, ...]:
    """What the finding rests on, the finding itself first."""
    told = [_finding(found, given, rules)]
    if found.comparison in _LIKE_THIS:
        says = f"possible causes: {_LIKE_THIS[found.comparison]}"
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


def _finding(found: SweepResult, given: SweepInput, rules: SweepRules) -> Reason:
    rule = (
        f"full load is less than {rules.boundary} of vacuum, light load that and more; a difference of "
        f"{_share(rules.difference)} from the reference or a gap of {_share(rules.gap)} counts, if it is "
        f"{GUARD} standard uncertainties clear of that"
    )
    return Reason(says_of(found, given, rules), rule, _NO_SOURCE, WORKSHOP)


def _share(value: float) -> str:
    return f"{100 * value:g} %"


def _undecided(found: SweepResult) -> list[tuple[str, Zone]]:
    zones = [("gap between down and up", found.gap)]
    if not found.hindrance:
        zones = [("light load", found.light), ("full load", found.full), *zones]
    return [(name, zone) for name, zone in zones if zone.state in ("undecided", "nothing")]


def _open(name: str, zone: Zone) -> Reason:
    if zone.state == "nothing":
        return Reason(f"{name}: no vacuum here has a value", "there is no value beyond the ends of a curve", _NO_SOURCE)
    rule = "a finer meter or gauge, the same named meter for both, or more vacua each way would help"
    return Reason(f"{name}: too close to the limit, or too few vacua, to decide", rule, _NO_SOURCE, WORKSHOP)


def _reference(reference: Reference) -> Reason:
    known = "; ".join((*(f"doubtful: {doubt}" for doubt in reference.doubts), *reference.known))
    says = f"{reference.name} was named as the trusted unit{f'; {known}' if known else ''}"
    rule = "a comparison is only as good as its reference; a doubtful one decides nothing"
    return Reason(says, rule, _NO_SOURCE, WORKSHOP, reference.facts)


def _no_reference_yet() -> Reason:
    says = "needed: a trusted unit of the same number, swept with the same meter at the same frequency"
    return Reason(says, "inductance proves something only when compared with a good unit", _NO_SOURCE, WORKSHOP)


def _meter(found: SweepResult, given: SweepInput) -> Reason:
    source = "JCGM 100:2008, 4.3.7 and 5.1.2 (from memory)"
    meter = given.sweep.meter
    noted = f"no accuracy noted: {meter.spec.text} assumed" if meter.assumed else meter.spec.text
    if found.same_meter:
        says = f"the same meter for both, {meter.name} ({noted}): its scale cancels out, its steps do not (k = 2)"
        return Reason(says, "uncertainty of a quotient without the common scale", source, FROM_MEMORY)
    says = f"not known to be the same meter ({noted}): the scale error of each counts in full (k = 2)"
    return Reason(says, "uncertainty of a quotient, both scales as rectangles", source, FROM_MEMORY)


def _straight_lines(found: SweepResult) -> Reason:
    beyond = (
        f"; {found.beyond} of {len(found.rows)} vacua have no reference and are not compared" if found.beyond else ""
    )
    rule = (
        "linear between two points, uncertain by half the second derivative times the distances to both, "
        "and by a step of the gauge times the slope"
    )
    says = f"compared at the vacua of this sweep{beyond}"
    return Reason(says, rule, "remainder of linear interpolation (from memory)", FROM_MEMORY)


def _apart(given: SweepInput, rules: SweepRules) -> list[Reason]:
    """The differences in air pressure, which adds uncertainty, and in temperature, which is not corrected."""
    other = given.reference.sweep if given.reference else None
    if other is None:
        return []
    mine, told = given.sweep, []
    if mine.barometer_pa is None or other.barometer_pa is None:
        says = "the barometer was not noted for both: the same air pressure is assumed"
        told.append(Reason(says, _CELLS, _NO_SOURCE, WORKSHOP))
    elif mine.barometer_pa != other.barometer_pa:
        apart = abs(mine.barometer_pa - other.barometer_pa) / 100.0
        told.append(
            Reason(f"the barometers differ by {apart:.0f} hPa, which adds uncertainty", _CELLS, _NO_SOURCE, WORKSHOP)
        )
    if mine.ambient_k is not None and other.ambient_k is not None:
        kelvin = abs(mine.ambient_k - other.ambient_k)
        if kelvin > rules.ambient_apart_k:
            says = f"the two were measured at temperatures {kelvin:.0f} K apart, which is not corrected"
            told.append(Reason(says, "sweep both on one day in one room", _NO_SOURCE, WORKSHOP))
    return told


def _too_deep(given: SweepInput, rules: SweepRules) -> list[Reason]:
    deepest = given.sweep.down.points[-1]
    if deepest.vacuum_pa <= rules.nominal_pa * (1 + 1e-9):
        return []
    says = f"drawn to {deepest.vacuum}, past nominal, which can tear the diaphragm: hold it again"
    return [Reason(says, "never draw past nominal", "from memory, no official page known", FROM_MEMORY)]
