"""The findings from the match codes of a sensor and a control unit. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from inventory.contradictions.looks import LETTER
from inventory.pairing.candidate import Candidate
from inventory.pairing.findings.by_paper import by_paper, set_by_specialist
from inventory.pairing.findings.by_part import SLANTING_LIGHT, Finding, code_step, name, note, trade_reason
from inventory.pairing.findings.codes import Reading, compare, look_alikes, reading, written
from inventory.pairing.findings.fit import Fits
from inventory.store.words.letters import mistaken_for
from inventory.store.words.text import LOOK_ALIKES

__all__ = ["came_off_together", "code_notes", "codes"]

_ONE_CAR = "two units off one car in one strip-down ran together; a part has one such mate, the last recorded"


def came_off_together(sensor: Candidate, unit: Candidate) -> str:
    """The car on which the two ran together; empty if they did not, or if either has another mate there."""
    if sensor.strip_down is None or unit.strip_down is None:
        return ""
    mates = sensor.strip_down.mate == unit.tag and unit.strip_down.mate == sensor.tag
    return sensor.strip_down.car if mates else ""


def codes(sensor: Candidate, unit: Candidate, fits: Fits) -> Finding:
    """The finding on equal, different or missing codes; after a specialist's setting the paper counts instead."""
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
            reason = trade_reason(f"{says}: {sensor.match_code}", rule, *_facts(sensor, unit))
            return Finding("codes", "confirmed", says, "", reason)
        case "different":
            both = f"{written(sensor.match_code, ours)} and {written(unit.match_code, theirs)}"
            says = f"codes read on both differ: {both}"
            step = _step_when_different(sensor, unit, alike=look_alikes(ours, theirs))
            return Finding("codes", "ruled out", says, step, trade_reason(says, rule, *_facts(sensor, unit)))
        case "missing":
            return _missing(sensor, unit, rule)


def _facts(sensor: Candidate, unit: Candidate) -> tuple[str, ...]:
    return (sensor.code_fact or sensor.fact, unit.code_fact or unit.fact)


def _step_when_different(sensor: Candidate, unit: Candidate, *, alike: bool) -> str:
    if alike:
        return f"read again: {sensor.match_code} and {unit.match_code} look alike when worn; read both {SLANTING_LIGHT}"
    if came_off_together(sensor, unit):
        return f"both came off one car in one strip-down, so one may be misread: read both {SLANTING_LIGHT}"
    return "read both codes again if either mark is worn; else look for a mate with the same code"


def _missing(sensor: Candidate, unit: Candidate, rule: str) -> Finding:
    """The finding if one or both codes do not count: probable if the two ran together, else possible.

    Two letters read from one part leave the pair possible at best, even off one car.
    """
    lacking = [part for part in (sensor, unit) if not reading(part).clear]
    which = "both" if len(lacking) == 2 else name(lacking[0])
    two_letters = any(each.open and each.about == LETTER for part in lacking for each in part.contradictions)
    says, car = f"no code clearly read on {which}", "" if two_letters else came_off_together(sensor, unit)
    why = "; ".join(f"code of {name(part)}: {reading(part).says}" for part in lacking)
    step = "; then ".join(code_step(part) for part in lacking)
    if not car:
        return Finding("codes", "possible", says, step, trade_reason(why, rule, *_facts(sensor, unit)))
    together = f"both off {car} in one strip-down"
    reason = trade_reason(f"{why}; {together}", f"{rule}; {_ONE_CAR}", *_facts(sensor, unit), *_removals(sensor, unit))
    return Finding("codes", "probable", f"{says}; {together}", step, reason)


def _removals(sensor: Candidate, unit: Candidate) -> tuple[str, ...]:
    return tuple(part.strip_down.fact for part in (sensor, unit) if part.strip_down is not None)


def code_notes(sensor: Candidate, unit: Candidate) -> Iterator[Finding]:
    """Notes that lower nothing: long codes, look-alikes, unclear codes that agree or not, one car.

    After a specialist's setting the sensor's old code is not compared with the control unit's.
    """
    ours, theirs = reading(sensor), reading(unit)
    for part, read in ((sensor, ours), (unit, theirs)):
        if any(len(code) >= 3 for code in read.may_be):
            yield note(
                f"code {part.match_code} of {name(part)} is kept as written: check that it is the match code",
                "a match code has one or two characters; a longer one may be another mark",
                part.code_fact or part.fact,
            )
    since, missing = set_by_specialist(sensor), compare(ours, theirs) == "missing"
    if not since:
        yield from _look_alike_notes(sensor, unit, ours, theirs)
    if missing and not since:
        yield from _words_on_record(sensor, unit, ours, theirs)
    elif car := came_off_together(sensor, unit):
        yield note(f"both came off {car} in one strip-down", _ONE_CAR, *_removals(sensor, unit))


def _look_alike_notes(sensor: Candidate, unit: Candidate, ours: Reading, theirs: Reading) -> Iterator[Finding]:
    rule = f"alike when worn: {', '.join(' '.join(group) for group in LOOK_ALIKES)}; flagged, never treated as equal"
    facts = _facts(sensor, unit)
    if look_alikes(ours, theirs):
        yield note(f"read again: {sensor.match_code} and {unit.match_code} look alike when worn", rule, *facts)
    elif compare(ours, theirs) == "equal" and (others := mistaken_for(ours.may_be[0])):
        yield note(f"read again if worn: {sensor.match_code} looks like {' or '.join(others)}", rule, *facts)


def _words_on_record(sensor: Candidate, unit: Candidate, ours: Reading, theirs: Reading) -> Iterator[Finding]:
    """A note on whether two recorded codes agree, if not both were clearly read."""
    if ours.may_be and theirs.may_be:
        agree = set(ours.may_be) & set(theirs.may_be)
        verdict = "do not contradict each other" if agree else "contradict each other: read again"
        yield note(
            f"codes on record, {sensor.match_code} and {unit.match_code}, {verdict}",
            "a code not clearly read from the part neither confirms nor rules out",
            *_facts(sensor, unit),
        )
