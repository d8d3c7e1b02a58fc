"""Whether a part may go back on a car: its findings, each a stop or a note. Pure: facts come in, findings go out.

What the rules are, which of them stop, and for whom they soften is data (`reference/readiness.toml`); here is what
each of them looks for. Facts are any objects with `values`, `on`, `id` and the bounds of their day.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

from inventory.contradictions.looks import LETTER, SEAL, TEST, Contradiction
from inventory.reference.build_list import SAID
from inventory.reference.readiness import Level, ReadinessRules
from inventory.refit.part_to_fit import Mate, PartToFit

__all__ = ["Finding", "PositionReady", "findings_of"]

State = Literal["on", "ready", "note", "stop", "empty"]


@dataclass(frozen=True)
class Finding:
    """One thing that stands against a part (`level` stop) or is only named (note), by which rule, and what mends it."""

    level: Level
    rule: str
    says: str
    mend: str
    facts: tuple[str, ...] = ()
    standing: str = ""
    source: str = ""

    def as_dict(self) -> dict[str, object]:
        """The object in JSON lists `stops` and `notes`."""
        return {**vars(self), "facts": list(self.facts)}


@dataclass(frozen=True)
class PositionReady:
    """A position of a car, the part for it, and whether that may go on.

    `state`: on (a part is there, or nothing came off), ready, note (ready, with notes), stop, empty (what came off is
    no longer here). `last`: what to do just before it goes on. A part logged without a position has `position_id` None.
    """

    position_id: int | None
    position: str
    tag: str | None
    state: State
    stops: tuple[Finding, ...] = ()
    notes: tuple[Finding, ...] = ()
    last: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, object]:
        """The object in the JSON list `positions`."""
        return {
            "position": self.position,
            "tag": self.tag,
            "state": self.state,
            "stops": [each.as_dict() for each in self.stops],
            "notes": [each.as_dict() for each in self.notes],
            "last": list(self.last),
        }


class _Findings:
    """Collects the findings on one part by the rules."""

    def __init__(self, part: PartToFit, rules: ReadinessRules) -> None:
        self.part, self.rules = part, rules
        self.found: list[Finding] = []

    def level(self, name: str) -> Level:
        """The level of a rule for this part: the mildest that applies."""
        rule = self.rules.rules[name]
        levels = {rule.level}
        levels |= {rule.own} if self.part.own else set()
        levels |= {rule.ran} if self.part.ran else set()
        return "note" if "note" in levels else "stop"

    def add(self, name: str, *facts: str, **words: object) -> None:
        """Add a finding, if the rule is about parts of this kind."""
        rule = self.rules.rules[name]
        kind = "fuel hose" if self.part.kind == "other" and self.part.hose_age else self.part.kind
        if not rule.is_about(kind):
            return
        named = ("tag", "kind", "number", "car", "position")
        given = {name: getattr(self.part, name) for name in named} | {"what": ""} | words
        says, mend = rule.says.format(**given), rule.mend.format(**given)
        kept = tuple(fact for fact in facts if fact)
        self.found.append(Finding(self.level(name), name, says, mend, kept, rule.standing, rule.source))


def findings_of(part: PartToFit, rules: ReadinessRules) -> tuple[Finding, ...]:
    """Everything that stands against a part or is to be named before it goes on, stops first."""
    found = _Findings(part, rules)
    if part.away is not None:
        found.add("away", part.away.fact, what=part.away.what, on=part.away.on)
    _tests(found)
    _fuel(found)
    _mounts(found)
    _belongs_there(found)
    _belongs_together(found)
    _axis(found)
    for each in part.contradictions:
        if each.open:
            name = "does-not-fit-and-would-stop" if _would_stop(found, each) else "does-not-fit"
            found.add(name, *each.facts, what=each.in_short)
    return tuple(sorted(found.found, key=lambda each: each.level != "stop"))


def _tests(found: _Findings) -> None:
    part = found.part
    for test in part.failed:
        found.add("test-failed", test.fact, what=test.what, on=test.on)
    for claim in part.claimed:
        found.add("fault-claimed", claim.fact, what=claim.what)
    if any(test.what == "hold" for test in part.failed) or _open(part, f"{TEST}hold"):
        return
    hold = part.hold
    if hold is None:
        found.add("hold-missing")
    elif hold.short and not hold.ended:
        found.add("hold-short", hold.fact, on=hold.on)
    elif not hold.passed and hold.ended:
        found.add("hold-stale", hold.fact, hold.ended_by, on=hold.on, what=hold.ended)
    elif not hold.passed:
        found.add("hold-undecided", hold.fact, on=hold.on)


def _fuel(found: _Findings) -> None:
    part = found.part
    if part.leak is not None:
        found.add("leak-undecided", part.leak.fact, on=part.leak.on)
    if part.fuel is not None and not (part.tight and part.tight.order > part.fuel.order):
        seen_at = found.rules.rules["fuel-seen"]
        at_it = seen_at.is_about(part.kind) or bool(part.hose_age and part.kind == "other")
        inside = part.kind == "fuel pressure regulator" and found.rules.speaks_of("vacuum", part.fuel.what)
        name = "fuel-in-vacuum-line" if inside else "fuel-seen" if at_it else "fuel-at-port"
        found.add(name, part.fuel.fact, on=part.fuel.on, what=part.fuel.what)
    if part.hose_age is not None:
        of_what, years = part.hose_age
        if years is None:
            found.add("fuel-hose-age")
        elif years > found.rules.fuel_hose_years:
            found.add("fuel-hose-old", years=f"{found.rules.fuel_hose_years:g}", what=of_what)


def _mounts(found: _Findings) -> None:
    """The last assessment's damage, and what broke as it came off, unless mounts were mended since."""
    part, rules = found.part, found.rules
    told = [(fact, "damage") for fact in part.facts.get("assessment", ())[-1:]]
    told += [(fact, "missing") for fact in part.facts.get("assessment", ())[-1:]]
    told += [(fact, "broken") for fact in part.facts.get("removal", ())[-1:]]
    mended = [fact for fact in part.facts.get("work", ()) if _both(rules, "mount", "renewed", fact.values["what"])]
    for fact, name in told:
        text = fact.values.get(name) or ""
        broke = name != "damage" and rules.speaks_of("mount", text)
        if (broke or _both(rules, "mount", "unsound", text)) and not any(_after(each, fact) for each in mended):
            word = f"{text} {name}" if name != "damage" else text
            found.add("mounts", fact.id, what=word, on=fact.on)


def _both(rules: ReadinessRules, one: str, other: str, text: str) -> bool:
    """Whether one clause of a text has a word of both topics."""
    clauses = text.replace(",", ";").replace(".", ";").split(";")
    return any(rules.speaks_of(one, clause) and rules.speaks_of(other, clause) for clause in clauses)


def _after(later: Any, earlier: Any) -> bool:
    return bool((later.counts_from, later.ranked) > (earlier.counts_from, earlier.ranked))


def _belongs_there(found: _Findings) -> None:
    part = found.part
    if part.kind_there and part.kind_there != part.kind:
        found.add("kind-for-position", what=part.kind_there)
    elif part.number and part.numbers_there and not part.number_fits:
        found.add("number-for-position", what=", ".join(part.numbers_there))


def _belongs_together(found: _Findings) -> None:
    part = found.part
    if part.mates is None:
        _cap(found)
        return
    if not part.mates:
        found.add("unit-not-recorded")
    elif not any(mate.may_fit for mate in part.mates):
        found.add("number-for-unit", what=_named(part.mates))
    elif part.letter and all(mate.letter and mate.letter != part.letter for mate in part.mates):
        found.add("letter-differs", letter=part.letter, what=_named(part.mates))
    if not part.letter and not _open(part, LETTER):
        found.add("letter-missing")
    _cap(found)


def _named(mates: Iterable[Mate]) -> str:
    return " or ".join(f"{mate.tag} ({' '.join(filter(None, (mate.number, mate.letter)))})" for mate in mates)


def _cap(found: _Findings) -> None:
    part = found.part
    state = part.seals.get("cap", "not seen")
    if _open(part, f"{SEAL}cap"):
        return
    if state in ("missing", "disturbed"):
        found.add("cap-missing", what=state)
    elif state == "not seen":
        found.add("cap-not-seen")


def _axis(found: _Findings) -> None:
    """Which way it is to lie. What the list states goes before the general rule; as found does not."""
    part = found.part
    if not part.moving_element:
        return
    stated = f"{SAID[part.axis_there]}, {part.listed_by}" if part.axis_there else ""
    if not part.axis:
        found.add("axis-not-known")
    elif part.axis == part.axis_there:
        return
    elif part.axis == "across":
        found.add("axis-not-as-listed", axis=SAID[part.axis], what=stated) if stated else None
    else:
        found.add(f"axis-{part.axis}", what=f"; listed there: {stated}" if stated else "")


def _open(part: PartToFit, about: str) -> bool:
    return any(each.open and each.about == about for each in part.contradictions)


def _would_stop(found: _Findings, unfitting: Contradiction) -> bool:
    """Whether the worse of two readings that cannot both be true would stop the part."""
    about, part = unfitting.about, found.part
    if about.startswith(TEST):
        return True
    if about == f"{SEAL}cap":
        rule = found.rules.rules["cap-missing"]
        return rule.is_about(part.kind) and found.level("cap-missing") == "stop"
    if about == LETTER:
        return part.mates is not None and found.level("letter-missing") == "stop"
    return False
