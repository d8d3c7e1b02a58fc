"""A sweep in words: the sentence, and the reasons with their rules and sources.

It says what was found and what could cause it. It never says how to repair it: that is a specialist's work.
"""

from __future__ import annotations

from inventory.bench.methods.sweep.compared_words import (
    doubtful_words,
    meter_reason,
    open_reason,
    ratio_words,
    reference_reason,
    share_words,
)
from inventory.bench.methods.sweep.curve import Sweep
from inventory.bench.methods.sweep.ratios import Zone
from inventory.bench.methods.sweep.reference import Reference
from inventory.bench.methods.sweep.values import SweepInput, SweepResult, SweepRules
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
    gap = (
        f"gap between down and up {ratio_words(found.gap, rules.gap)}" if found.gap.worst else "no way back to compare"
    )
    if found.hindrance:
        return f"not judged: {found.hindrance}; {gap}"
    zones = [("light load", found.light), ("full load", found.full)]
    zones.sort(key=lambda zone: zone[1].state != "beyond")
    told = ", ".join(f"{name} {ratio_words(zone, rules.difference)}" for name, zone in zones)
    name = given.reference.name if given.reference else ""
    return f"{_headline(found, given.reference, name)}: {told}; {gap}"


def _headline(found: SweepResult, reference: Reference[Sweep] | None, name: str) -> str:
    if reference is not None and reference.doubts:
        also = "; gap between down and up" if found.comparison else ""
        return f"undecided{also}; {doubtful_words(reference)}"
    if found.comparison is None:
        return f"undecided, compared with {name}"
    if found.comparison.startswith("differs"):
        return f"{found.comparison} from {name}"
    return f"like the reference {name}" if found.verdict == "pass" else f"{found.comparison}; compared with {name}"


def reasons_of(found: SweepResult, given: SweepInput, rules: SweepRules) -> tuple[Reason, ...]:
    """What the finding rests on, the finding itself first."""
    told = [_finding(found, given, rules)]
    if found.comparison in _LIKE_THIS:
        says = f"possible causes: {_LIKE_THIS[found.comparison]}"
        told.append(Reason(says, _REMEDY, _NO_SOURCE, WORKSHOP))
    told += [open_reason(name, zone, "vacua") for name, zone in _undecided(found)]
    if given.reference is not None:
        told.append(reference_reason(given.reference))
    if not found.hindrance:
        told += [meter_reason(given.sweep.meter, same=found.same_meter), _straight_lines(found)]
        told += _apart(given, rules)
    else:
        told.append(_no_reference_yet())
    return (*told, *_too_deep(given, rules))


def _finding(found: SweepResult, given: SweepInput, rules: SweepRules) -> Reason:
    rule = (
        f"full load is less than {rules.boundary} of vacuum, light load that and more; a difference of "
        f"{share_words(rules.difference)} from the reference or a gap of {share_words(rules.gap)} counts, if it is "
        f"{GUARD} standard uncertainties clear of that"
    )
    return Reason(says_of(found, given, rules), rule, _NO_SOURCE, WORKSHOP)


def _undecided(found: SweepResult) -> list[tuple[str, Zone]]:
    zones = [("gap between down and up", found.gap)]
    if not found.hindrance:
        zones = [("light load", found.light), ("full load", found.full), *zones]
    return [(name, zone) for name, zone in zones if zone.state in ("undecided", "nothing")]


def _no_reference_yet() -> Reason:
    says = "needed: a trusted unit of the same number, swept with the same meter at the same frequency"
    return Reason(says, "inductance proves something only when compared with a good unit", _NO_SOURCE, WORKSHOP)


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
    other = given.reference.curve if given.reference else None
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
    if deepest.place <= rules.nominal_pa * (1 + 1e-9):
        return []
    says = f"drawn to {deepest.shown}, past nominal, which can tear the diaphragm: hold it again"
    return [Reason(says, "never draw past nominal", "from memory, no official page known", FROM_MEMORY)]
