"""Which half on the list goes with which, said in the words that a list may use. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeAlias

from inventory.pairing.halves import PAIRED_KINDS, SENSOR_KIND, UNIT_KIND, Half, OnRecord, SealNoted, Setting
from inventory.pairing.likeness import Grades, Likeness, likeness
from inventory.parts.judgements import worst_seal
from inventory.store.text import squeeze
from inventory.worth.listed import Item

if TYPE_CHECKING:
    from inventory.pairing.fit import Fits

__all__ = ["with_mates"]


_Told = Mapping[str, Sequence[Any]]
_Listed: TypeAlias = tuple[Item, Half]
#: How many mates of one part are named.
_MOST_NAMED = 3


def with_mates(items: Sequence[Item], told: Mapping[str, _Told], fits: Fits) -> list[Item]:
    """The items, each half of a confirmed pair with the sentence that says with which and why.

    `told`: by tag, the facts of each part that were so by the day of the list, by the name of their table.

    Only a confirmed pair is named: anything less is a question for the workshop, not for a list. Of many mates the
    first few are named. Grades are worked out once for all parts that are alike, not pair by pair.
    """
    halves = [(item, _half(item, told)) for item in items if item.kind in PAIRED_KINDS]
    grades = Grades(fits)
    by_code: dict[str, list[_Listed]] = defaultdict(list)
    for item, half in halves:
        if item.match_code and not told[item.tag].get("setting"):
            by_code[squeeze(item.match_code)].append((item, half))
    sentences: dict[str, str] = {}
    for several in by_code.values():
        sentences.update(_by_letter(several, grades))
    sentences.update(_by_paper(halves, told, grades))
    return [replace(item, goes_with=sentences.get(item.tag)) for item in items]


def _by_letter(several: Sequence[_Listed], grades: Grades) -> dict[str, str]:
    """For each half of a confirmed pair of one letter the tags of its mates, and on what that rests."""
    sensors, units = _alike(several, SENSOR_KIND), _alike(several, UNIT_KIND)
    confirmed = [
        (ours, theirs)
        for ours, some in sensors.items()
        for theirs, others in units.items()
        if grades.of(ours, some[0][1], theirs, others[0][1]) == "confirmed"
    ]
    sentences: dict[str, str] = {}
    for ours, some in sensors.items():
        mates = _Mates.of(units[theirs] for each, theirs in confirmed if each == ours)
        for item, _ in some if mates.count else ():
            sentences[item.tag] = f"{mates}: codes read on both, equal; {_seals_of([item])}"
    for theirs, others in units.items():
        mates = _Mates.of(sensors[ours] for ours, each in confirmed if each == theirs)
        for item, _ in others if mates.count else ():
            sentences[item.tag] = f"{mates}: codes read on both, equal; {_seals_of(mates.named)}"
    return sentences


@dataclass(frozen=True)
class _Mates:
    """The mates of a half: the first few by their number on the list, and how many there are."""

    named: tuple[Item, ...]
    count: int

    @classmethod
    def of(cls, classes: Iterable[Sequence[_Listed]]) -> _Mates:
        several = list(classes)
        first = sorted((item for some in several for item, _ in some[:_MOST_NAMED]), key=lambda item: item.number)
        return cls(tuple(first[:_MOST_NAMED]), sum(map(len, several)))

    def __str__(self) -> str:
        more = self.count - len(self.named)
        return " or ".join([*(item.tag for item in self.named), *([f"{more} more"] if more else [])])


def _alike(several: Sequence[_Listed], kind: str) -> dict[Likeness, list[_Listed]]:
    classes: dict[Likeness, list[_Listed]] = defaultdict(list)
    for item, half in several:
        if item.kind == kind:
            classes[likeness(half)].append((item, half))
    return classes


def _by_paper(halves: Sequence[_Listed], told: Mapping[str, _Told], grades: Grades) -> dict[str, str]:
    """The same where a specialist set the sensor and a paper names the control unit."""
    tags = {rows[0].thing_id: tag for tag, facts in told.items() for rows in facts.values() if rows}
    set_anew = [each for each in halves if each[0].kind == SENSOR_KIND and told[each[0].tag].get("setting")]
    units = [half for item, half in halves if item.kind != SENSOR_KIND] if set_anew else []
    sentences: dict[str, str] = {}
    for sensor, half in set_anew:
        paper = _setting(told[sensor.tag]["setting"][-1], tags)
        for unit, word in grades.with_each(replace(half, setting=paper), units):
            if word == "confirmed":
                sentences[sensor.tag] = f"{unit.tag}: a paper says that a specialist set the sensor for it ({paper.on})"
                sentences[unit.tag] = (
                    f"{sensor.tag}: a paper says that a specialist set that sensor for it ({paper.on})"
                )
    return sentences


def _setting(fact: Any, tags: Mapping[int, str]) -> Setting:
    return Setting(
        unit=tags.get(fact.unit_id, "a unit not on the list") if fact.unit_id is not None else "",
        unit_number=fact.unit_number or "",
        unit_number_squeezed=squeeze(fact.unit_number or ""),
        unit_code=fact.unit_code or "",
        at=f"{fact.earliest} {fact.ranked}",
        on=fact.so_from,
    )


def _half(item: Item, told: Mapping[str, _Told]) -> Half:
    """A half as the pairing judgement is told of it, as of the day of the list; the grade asks for no probability."""
    facts = told[item.tag]
    sightings = {row.seal: row for row in facts.get("seal_sighting", [])}
    inside = [fact for fact in facts.get("work", []) if fact.area == "on the unit"]
    broken = [row for row in sightings.values() if row.state in ("missing", "disturbed", "renewed")]
    decided = {run.procedure: run for run in item.runs if run.verdict in ("pass", "fail")}
    failed = [run for run in decided.values() if run.verdict == "fail"]
    return Half(
        tag=item.tag,
        kind=item.kind,
        part_number=item.part_number or "",
        part_number_squeezed=squeeze(item.part_number or ""),
        p_serviceable=0.0,
        match_code=item.match_code or "",
        match_code_state=item.match_code_state or "not looked at",  # type: ignore[arg-type]
        match_code_read_from=item.match_code_read_from or "",  # type: ignore[arg-type]
        seal_state=worst_seal(facts.get("seal_sighting", [])),  # type: ignore[arg-type]
        seals_noted=tuple(
            SealNoted(seal.seal, seal.state, seal.when.fact, seal.document, _at(sightings[seal.seal]))  # type: ignore[arg-type]
            for seal in item.seals_now
        ),
        opened=OnRecord(inside[-1].what) if inside else None,
        decisive_failure=OnRecord(failed[0].procedure) if failed else None,
        changed=max((_at(row) for row in (*inside, *broken)), default=""),
    )


def _at(fact: Any) -> str:
    """When something was found or done at the latest."""
    return f"{fact.latest} {fact.ranked}"


def _seals_of(sensors: Sequence[Item]) -> str:
    looks = [seal for sensor in sensors for seal in sensor.seals_now]
    if all(seal.state == "never fitted" for seal in looks):
        return "the sensor never had a seal"
    days = sorted({seal.when.on for seal in looks if seal.state in ("intact", "never fitted")})
    return f"sensor seals intact on {', '.join(days)}"
