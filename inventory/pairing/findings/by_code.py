"""What the match codes of a sensor and a control unit say about the two as a pair, and what is flagged. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from inventory.pairing.candidate import Candidate
from inventory.pairing.findings.by_paper import by_paper, set_by_specialist
from inventory.pairing.findings.by_part import SLANTING_LIGHT, Finding, code_step, name, note, trade
from inventory.pairing.findings.codes import Reading, compare, look_alikes, mistaken_for, reading
from inventory.pairing.findings.fit import Fits
from inventory.store.text import LOOK_ALIKES

__all__ = ["code_notes", "codes", "off_one_car"]

_ONE_CAR = "two units that came off one car in one strip-down ran together; a part has one such mate, the last recorded"


def off_one_car(sensor: Candidate, unit: Candidate) -> str:
    """The car on which the two ran together, each the other's last such mate; empty if they did not."""
    if sensor.strip_down is None or unit.strip_down is None:
        return ""
    mates = sensor.strip_down.mate == unit.tag and unit.strip_down.mate == sensor.tag
    return sensor.strip_down.car if mates else ""


def codes(sensor: Candidate, unit: Candidate, fits: Fits) -> Finding:
    """Equal, different or missing; after a specialist's setting what the paper says counts instead."""
    if set_by_specialist(sensor):
        return by_paper(sensor, unit, fits)
    rule = (
        "units set together in the factory carry the same code; "
        "only a code read from the part or a dated picture counts as read"
    )
    ours, theirs = reading(sensor), reading(unit)
    match compare(ours, theirs):
        case "equal":
            says = "codes read on both, equal"
            reason = trade(f"{says}: {sensor.match_code}", rule, *_facts(sensor, unit))
            return Finding("codes", "confirmed", says, "", reason)
        case "different":
            says = f"codes read on both differ: {sensor.match_code} and {unit.match_code}"
            step = _step_when_different(sensor, unit, alike=look_alikes(ours, theirs))
            return Finding("codes", "ruled out", says, step, trade(says, rule, *_facts(sensor, unit)))
        case "missing":
            return _missing(sensor, unit, rule)


def _facts(sensor: Candidate, unit: Candidate) -> tuple[str, ...]:
    return (sensor.code_fact or sensor.fact, unit.code_fact or unit.fact)


def _step_when_different(sensor: Candidate, unit: Candidate, *, alike: bool) -> str:
    if alike:
        return f"read again: {sensor.match_code} and {unit.match_code} look alike when worn; read both {SLANTING_LIGHT}"
    if off_one_car(sensor, unit):
        return f"both came off one car in one strip-down, so one may be misread: read both {SLANTING_LIGHT}"
    return "read both codes again if either mark is worn; else look for a mate of the same code"


def _missing(sensor: Candidate, unit: Candidate, rule: str) -> Finding:
    """A code that does not count on one or both: probable if the two ran together, else possible."""
    lacking = [half for half in (sensor, unit) if not reading(half).clear]
    which = "both" if len(lacking) == 2 else name(lacking[0])
    says, car = f"no code clearly read on {which}", off_one_car(sensor, unit)
    why = "; ".join(f"code of {name(half)}: {reading(half).says}" for half in lacking)
    step = "; then ".join(code_step(half) for half in lacking)
    if not car:
        return Finding("codes", "possible", says, step, trade(why, rule, *_facts(sensor, unit)))
    together = f"both off {car} in one strip-down"
    reason = trade(f"{why}; {together}", f"{rule}; {_ONE_CAR}", *_facts(sensor, unit), *_removals(sensor, unit))
    return Finding("codes", "probable", f"{says}; {together}", step, reason)


def _removals(sensor: Candidate, unit: Candidate) -> tuple[str, ...]:
    return tuple(half.strip_down.fact for half in (sensor, unit) if half.strip_down is not None)


def code_notes(sensor: Candidate, unit: Candidate) -> Iterator[Finding]:
    """What is flagged and lowers nothing: long codes, look-alikes, words that contradict a reading, one car.

    The sensor's old code is not held against the control unit's where a specialist has set it since.
    """
    ours, theirs = reading(sensor), reading(unit)
    for half, read in ((sensor, ours), (unit, theirs)):
        if any(len(code) >= 3 for code in read.may_be):
            yield note(
                f"code {half.match_code} of {name(half)} is kept as written: look whether it is the match code",
                "a match code is one or two signs; a longer one may be another mark",
                half.code_fact or half.fact,
            )
    since, missing = set_by_specialist(sensor), compare(ours, theirs) == "missing"
    if not since:
        yield from _look_alike_notes(sensor, unit, ours, theirs)
    if missing and not since:
        yield from _words_on_record(sensor, unit, ours, theirs)
    elif car := off_one_car(sensor, unit):
        yield note(f"both came off {car} in one strip-down", _ONE_CAR, *_removals(sensor, unit))


def _look_alike_notes(sensor: Candidate, unit: Candidate, ours: Reading, theirs: Reading) -> Iterator[Finding]:
    rule = f"alike when worn: {', '.join(' '.join(group) for group in LOOK_ALIKES)}; flagged, never taken as one"
    facts = _facts(sensor, unit)
    if look_alikes(ours, theirs):
        yield note(f"read again: {sensor.match_code} and {unit.match_code} look alike when worn", rule, *facts)
    elif compare(ours, theirs) == "equal" and (others := mistaken_for(ours.may_be[0])):
        yield note(f"read again if worn: {sensor.match_code} is easily taken for {' or '.join(others)}", rule, *facts)


def _words_on_record(sensor: Candidate, unit: Candidate, ours: Reading, theirs: Reading) -> Iterator[Finding]:
    """Where both have a code on record but not both clearly: whether the words agree."""
    if ours.may_be and theirs.may_be:
        agree = set(ours.may_be) & set(theirs.may_be)
        verdict = "do not contradict each other" if agree else "contradict each other: read again"
        yield note(
            f"codes on record, {sensor.match_code} and {unit.match_code}, {verdict}",
            "a code not clearly read from the part neither confirms nor rules out",
            *_facts(sensor, unit),
        )
