"""The parts that a plan leaves over, the reasons, and the number and letter that would complete them. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.findings.by_paper import set_by_specialist
from inventory.pairing.findings.by_part import GRADES, Grade, name
from inventory.pairing.findings.codes import Reading, compare, reading
from inventory.pairing.findings.fit import Fits
from inventory.pairing.plan.shelf import Shelf, Side
from inventory.reasons import WORKSHOP, Reason

__all__ = ["LeftOver", "Wish", "left_over", "wish_list"]

_BELONGS: dict[Grade, str] = {
    "confirmed": "belongs with",
    "probable": "probably belongs with",
    "possible": "may belong with",
}
_NAMED = 6
"""The most mates in other pairs that are named by tag."""


@dataclass(frozen=True)
class Wish:
    """A part that would complete one of the parts with these `tags`: its kind and possible part numbers.

    `match_code` is empty if the letter of that part was not clearly read or no longer counts.
    """

    kind: str
    part_numbers: tuple[str, ...]
    match_code: str
    tags: tuple[str, ...]

    @property
    def says(self) -> str:
        """The line of the list."""
        letter = f", code {self.match_code}" if self.match_code else ", any code"
        many = f"{len(self.tags)} x " if len(self.tags) > 1 else ""
        return f"{many}{self.kind} {' or '.join(self.part_numbers)}{letter}, for {', '.join(self.tags)}"

    def as_dict(self) -> dict[str, object]:
        """The object that stands in the JSON `wish_list`."""
        return {
            "kind": self.kind,
            "part_numbers": list(self.part_numbers),
            "match_code": self.match_code or None,
            "for": list(self.tags),
            "says": self.says,
        }


@dataclass(frozen=True)
class LeftOver:
    """A part in scope that is in no pair of the plan. The reasons are made when asked for."""

    part: Candidate
    why: _Why

    @property
    def tag(self) -> str:
        """The part's tag."""
        return self.part.tag

    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """Why it is in no pair, and with whom it belongs."""
        told = list(self.why.of(self.part))
        kept = self.part.reserved
        if kept is not None and kept.says and self.why.reserved(self.part):
            told.append(_reason(f"reserved: {kept.says}", kept.fact))
        return tuple(told)

    @property
    def wanted(self) -> bool:
        """Whether to look for a mate: not if it is reserved, failed a test, or a paper names its mate."""
        named = self.part.setting is not None and bool(self.part.setting.unit)
        return not (named or self.why.reserved(self.part) or self.part.failed)

    def as_dict(self) -> dict[str, object]:
        """The object that stands in a JSON `left_over` list."""
        return {"tag": self.tag, "reasons": [reason.as_dict() for reason in self.reasons]}


class _Tally(NamedTuple):
    """Counts of free parts of the other kind: those that may fit by number, and of these those with other codes."""

    fitting: int
    different: int


class _Why:
    """The reasons why parts of one side are in no pair."""

    def __init__(self, shelf: Shelf, fits: Fits, kept_back: Collection[str], *, sensors: bool) -> None:
        self._fits, self._kept_back, self._sensors = fits, kept_back, sensors
        self._own, self._others = (shelf.sensors, shelf.units) if sensors else (shelf.units, shelf.sensors)
        self._edges = shelf.edges
        self._tallies: dict[tuple[str, Reading], _Tally] = {}

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Why)

    __hash__ = None  # type: ignore[assignment]

    @cached_property
    def _class_of(self) -> dict[str, int]:
        return {part.tag: int(number) for part, number in zip(self._own.parts, self._own.of, strict=True)}

    @cached_property
    def _joined(self) -> dict[int, list[tuple[Grade, int]]]:
        """By class, the classes of the other side that it could be paired with, and the grade."""
        found: dict[int, list[tuple[Grade, int]]] = {}
        for edge in self._edges:
            if not edge.bound:
                own, other = (edge.row, edge.column) if self._sensors else (edge.column, edge.row)
                found.setdefault(own, []).append((edge.grade, other))
        return found

    @cached_property
    def _bound(self) -> dict[str, list[tuple[Grade, str]]]:
        """By tag, the tags of the parts that it is bound to, and the grade."""
        found: dict[str, list[tuple[Grade, str]]] = {}
        for edge in self._edges:
            for pair in edge.bound:
                own, other = pair if self._sensors else pair[::-1]
                found.setdefault(self._own.parts[own].tag, []).append((edge.grade, self._others.parts[other].tag))
        return found

    def reserved(self, part: Candidate) -> bool:
        """Whether a part is reserved."""
        return part.tag in self._kept_back

    def of(self, part: Candidate) -> Iterator[Reason]:
        """The reasons: reserved; failed a test; its mates are in better pairs; nothing fits or other codes."""
        if self.reserved(part):
            yield _reason("reserved", part.reserved.fact if part.reserved is not None else "")
            return
        if part.failed:
            yield _reason(
                f"{name(part)} {' and '.join(test.says for test in part.failed)}", *(t.fact for t in part.failed)
            )
        mates = self._mates(part)
        other_kind = "control unit" if part.kind == SENSOR_KIND else "sensor"
        if mates and not part.failed:
            every = _few(sorted({tag for tags in mates.values() for tag in tags}))
            yield _reason(f"all its possible {other_kind}s are in pairs at least as good: {every}")
        if mates:
            best = min(mates, key=GRADES.index)
            if part.failed or best != "possible":
                yield _reason(f"{_BELONGS[best]} {other_kind} {_few(sorted(mates[best]))}")
            return
        if part.setting is not None and part.setting.unit:
            says = f"a specialist set it for control unit {part.setting.unit}, which is not free on the shelf"
            yield _reason(says, part.setting.fact)
            return
        tally = self._tally(part)
        if not tally.fitting:
            yield _reason(f"no {other_kind} free on the shelf fits by number {part.part_number}".rstrip(), part.fact)
            return
        code = f" for code {part.match_code}" if part.match_code else ""
        told = [f"{tally.fitting} fit by number"]
        told += [f"{tally.different} have another code"] if tally.different else []
        yield _reason(f"no mate free on the shelf{code}: {', '.join(told)}", part.code_fact or part.fact)

    def _mates(self, part: Candidate) -> dict[Grade, set[str]]:
        """By grade, the tags of the parts on the shelf that it could be paired with."""
        found: dict[Grade, set[str]] = {}
        for grade, number in self._joined.get(self._class_of[part.tag], []):
            found.setdefault(grade, set()).update(
                self._others.parts[int(place)].tag for place in self._others.members[number]
            )
        for grade, tag in self._bound.get(part.tag, ()):
            found.setdefault(grade, set()).add(tag)
        return found

    def _tally(self, part: Candidate) -> _Tally:
        key = (part.part_number_squeezed, reading(part))
        if key not in self._tallies:
            self._tallies[key] = _tally(part, self._others, self._fits)
        return self._tallies[key]


def left_over(
    shelf: Shelf,
    fits: Fits,
    sensors: Sequence[Candidate],
    units: Sequence[Candidate],
    paired: Collection[str],
    reserved: Collection[str],
) -> tuple[tuple[LeftOver, ...], tuple[LeftOver, ...]]:
    """Sensors and control units in scope that are in no pair, in the order given."""
    ours = _Why(shelf, fits, reserved, sensors=True)
    theirs = _Why(shelf, fits, reserved, sensors=False)
    return (
        tuple(LeftOver(part, ours) for part in sensors if part.tag not in paired),
        tuple(LeftOver(part, theirs) for part in units if part.tag not in paired),
    )


def wish_list(parts: Iterable[Candidate], fits: Fits) -> tuple[Wish, ...]:
    """The parts that would complete these, equal wishes together; none for parts without a fitting number."""
    found: dict[tuple[str, tuple[str, ...], str], list[str]] = {}
    wanted: dict[str, tuple[str, ...]] = {}
    for part in parts:
        number = part.part_number_squeezed
        if number not in wanted:
            wanted[number] = fits.numbers_wanted(number)
        if wanted[number]:
            kind = UNIT_KIND if part.kind == SENSOR_KIND else SENSOR_KIND
            found.setdefault((kind, *_wished(part, wanted[number])), []).append(part.tag)
    return tuple(Wish(kind, numbers, code, tuple(tags)) for (kind, numbers, code), tags in sorted(found.items()))


def _wished(part: Candidate, numbers: tuple[str, ...]) -> tuple[tuple[str, ...], str]:
    """The numbers and the letter of the wanted mate; after a specialist's setting those on the paper."""
    paper = part.setting
    if paper is not None and paper.unit_number:
        return (paper.unit_number,), paper.unit_code
    read = reading(part)
    return numbers, part.match_code if read.rules_out and not set_by_specialist(part) else ""


def _tally(part: Candidate, others: Side, fits: Fits) -> _Tally:
    fitting = different = 0
    ours = reading(part)
    for number, members in enumerate(others.members):
        other = others.one(number)
        sensor, unit = (part, other) if part.kind == SENSOR_KIND else (other, part)
        if fits.judge(sensor.part_number_squeezed, unit.part_number_squeezed).may_fit:
            fitting += len(members)
            different += len(members) * (compare(ours, reading(other)) == "different")
    return _Tally(fitting, different)


def _few(tags: Sequence[str]) -> str:
    """The first few tags, and how many more there are."""
    more = len(tags) - _NAMED
    return ", ".join(tags[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def _reason(says: str, *facts: str) -> Reason:
    return Reason(
        says,
        "the plan pairs parts that failed no test first: most confirmed pairs, then probable, then possible; then the "
        "likeliest to be serviceable comes first, then documents, then tags",
        standing=WORKSHOP,
        facts=tuple(fact for fact in facts if fact),
    )
