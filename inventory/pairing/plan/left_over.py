"""What a plan leaves over and why, and which number and letter would complete it. Pure."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.findings.by_paper import set_by_specialist
from inventory.pairing.findings.by_part import name
from inventory.pairing.findings.codes import Reading, compare, reading
from inventory.pairing.findings.fit import Fits
from inventory.pairing.plan.shelf import Shelf, Side
from inventory.reasons import WORKSHOP, Reason

__all__ = ["LeftOver", "Wish", "left_over", "wish_list"]

_NAMED = 6
"""So many mates that went elsewhere are named by their tags."""


@dataclass(frozen=True)
class Wish:
    """What would complete the parts left over whose tags are `tags`: a part of one kind, of one of these numbers.

    `match_code` is empty where no letter of what is left over counts: not clearly read, or set by a specialist since.
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
    """A part in scope that is in no pair of the plan; why is worked out when it is asked for."""

    half: Candidate
    why: _Why

    @property
    def tag(self) -> str:
        """The part's tag."""
        return self.half.tag

    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """Why it is in no pair."""
        told = [self.why.of(self.half)]
        kept = self.half.reserved
        if kept is not None and kept.says and self.why.reserved(self.half):
            told.append(_reason(f"kept back: {kept.says}", kept.fact))
        return tuple(told)

    @property
    def wanted(self) -> bool:
        """Whether a mate is looked for: not where it is kept back, failed a test, or has one that a paper names."""
        named = self.half.setting is not None and bool(self.half.setting.unit)
        return not (named or self.why.reserved(self.half) or self.half.decisive_failure is not None)

    def as_dict(self) -> dict[str, object]:
        """The object that stands in a JSON `left_over` list."""
        return {"tag": self.tag, "reasons": [reason.as_dict() for reason in self.reasons]}


class _Tally(NamedTuple):
    """Of the free parts of the other kind: how many fit by number, and how many of these speak against a pair."""

    fitting: int
    different: int
    failed: int


class _Why:
    """Why parts of one side are in no pair."""

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
        return {half.tag: int(number) for half, number in zip(self._own.halves, self._own.of, strict=True)}

    @cached_property
    def _joined(self) -> dict[int, list[int]]:
        """By class, the classes of the other side that it could go with."""
        found: dict[int, list[int]] = {}
        for edge in self._edges:
            if not edge.bound:
                own, other = (edge.row, edge.column) if self._sensors else (edge.column, edge.row)
                found.setdefault(own, []).append(other)
        return found

    @cached_property
    def _bound(self) -> dict[str, list[str]]:
        """By tag, the tags of those a part is bound to."""
        found: dict[str, list[str]] = {}
        for edge in self._edges:
            for pair in edge.bound:
                own, other = pair if self._sensors else pair[::-1]
                found.setdefault(self._own.halves[own].tag, []).append(self._others.halves[other].tag)
        return found

    def reserved(self, half: Candidate) -> bool:
        """Whether a part is kept back."""
        return half.tag in self._kept_back

    def of(self, half: Candidate) -> Reason:
        """Kept back, failed a test, nothing fits, other codes, or its mates went to better pairs."""
        if self.reserved(half):
            return _reason("reserved", half.reserved.fact if half.reserved is not None else "")
        if half.decisive_failure is not None:
            return _reason(f"{name(half)} {half.decisive_failure.says}", half.decisive_failure.fact)
        other_kind = "control unit" if half.kind == SENSOR_KIND else "sensor"
        if mates := self._mates(half):
            more = len(mates) - _NAMED
            named = ", ".join(mates[:_NAMED]) + (f" and {more} more" if more > 0 else "")
            return _reason(f"all its possible {other_kind}s are in pairs at least as good: {named}")
        if half.setting is not None and half.setting.unit:
            says = f"set by a specialist for control unit {half.setting.unit}, which is not free on the shelf"
            return _reason(says, half.setting.fact)
        tally = self._tally(half)
        if not tally.fitting:
            return _reason(f"no {other_kind} free on the shelf fits by number {half.part_number}".rstrip(), half.fact)
        code = f" for code {half.match_code}" if half.match_code else ""
        told = [f"{tally.fitting} fit by number"]
        told += [f"{tally.different} have another code"] if tally.different else []
        told += [f"{tally.failed} failed a decisive test"] if tally.failed else []
        return _reason(f"no mate free on the shelf{code}: {', '.join(told)}", half.code_fact or half.fact)

    def _mates(self, half: Candidate) -> list[str]:
        joined = self._joined.get(self._class_of[half.tag], [])
        free = (self._others.halves[int(place)].tag for number in joined for place in self._others.members[number])
        return sorted({*free, *self._bound.get(half.tag, ())})

    def _tally(self, half: Candidate) -> _Tally:
        key = (half.part_number_squeezed, reading(half))
        if key not in self._tallies:
            self._tallies[key] = _tally(half, self._others, self._fits)
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
        tuple(LeftOver(half, ours) for half in sensors if half.tag not in paired),
        tuple(LeftOver(half, theirs) for half in units if half.tag not in paired),
    )


def wish_list(left: Sequence[LeftOver], fits: Fits) -> tuple[Wish, ...]:
    """What would complete the parts left over, those with one wish together; parts that no number fits have none."""
    found: dict[tuple[str, tuple[str, ...], str], list[str]] = {}
    wanted: dict[str, tuple[str, ...]] = {}
    for half in (one.half for one in left if one.wanted):
        number = half.part_number_squeezed
        if number not in wanted:
            wanted[number] = fits.numbers_wanted(number)
        if wanted[number]:
            kind = UNIT_KIND if half.kind == SENSOR_KIND else SENSOR_KIND
            found.setdefault((kind, *_wished(half, wanted[number])), []).append(half.tag)
    return tuple(Wish(kind, numbers, code, tuple(tags)) for (kind, numbers, code), tags in sorted(found.items()))


def _wished(half: Candidate, numbers: tuple[str, ...]) -> tuple[tuple[str, ...], str]:
    """The numbers and the letter that would complete a part; after a specialist's setting those on the paper."""
    paper = half.setting
    if paper is not None and paper.unit_number:
        return (paper.unit_number,), paper.unit_code
    read = reading(half)
    return numbers, half.match_code if read.clear and not set_by_specialist(half) else ""


def _tally(half: Candidate, others: Side, fits: Fits) -> _Tally:
    fitting = different = failed = 0
    ours = reading(half)
    for number, members in enumerate(others.members):
        other = others.one(number)
        sensor, unit = (half, other) if half.kind == SENSOR_KIND else (other, half)
        if fits.judge(sensor.part_number_squeezed, unit.part_number_squeezed).fits:
            fitting += len(members)
            different += len(members) * (compare(ours, reading(other)) == "different")
            failed += len(members) * (other.decisive_failure is not None)
    return _Tally(fitting, different, failed)


def _reason(says: str, *facts: str) -> Reason:
    return Reason(
        says,
        "most confirmed pairs, then probable, then possible; then the likeliest to be serviceable, documents, tags",
        standing=WORKSHOP,
        facts=tuple(fact for fact in facts if fact),
    )
