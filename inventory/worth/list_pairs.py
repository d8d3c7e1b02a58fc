"""Which half on the list goes with which, said in the words that a list may use. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from inventory.pairing.halves import PAIRED_KINDS, SENSOR_KIND, Half, OnRecord, SealNoted, Setting
from inventory.pairing.judgements import grade
from inventory.parts.judgements import worst_seal
from inventory.store.text import squeeze
from inventory.worth.listed import Item

if TYPE_CHECKING:
    from inventory.pairing.fit import Fits

__all__ = ["with_mates"]


_Told = Mapping[str, Sequence[Any]]


def with_mates(items: Sequence[Item], told: Mapping[str, _Told], fits: Fits) -> list[Item]:
    """The items, each half of a confirmed pair with the sentence that says with which and why.

    `told`: by tag, the facts of each part that were so by the day of the list, by the name of their table.

    Only a confirmed pair is named: anything less is a question for the workshop, not for a list.
    """
    halves = [item for item in items if item.kind in PAIRED_KINDS]
    by_letter = _by_letter(
        [item for item in halves if item.match_code and not told[item.tag].get("setting")], told, fits
    )
    sentences = by_letter | _by_paper(halves, told, fits)
    return [replace(item, goes_with=sentences.get(item.tag)) for item in items]


def _by_letter(halves: Sequence[Item], told: Mapping[str, _Told], fits: Fits) -> dict[str, str]:
    """For each half of a confirmed pair the tags of its mates, and on what that rests."""
    by_code: dict[str, list[Item]] = defaultdict(list)
    for item in halves:
        by_code[squeeze(item.match_code or "")].append(item)
    mates: dict[str, list[str]] = defaultdict(list)
    seals: dict[str, str] = {}
    for several in by_code.values():
        for sensor, unit in _split(several):
            if grade(_half(sensor, told), _half(unit, told), fits).grade == "confirmed":
                mates[sensor.tag].append(unit.tag)
                mates[unit.tag].append(sensor.tag)
                seals[sensor.tag] = seals[unit.tag] = _seals_of(sensor)
    return {tag: f"{' or '.join(others)}: codes read on both, equal; {seals[tag]}" for tag, others in mates.items()}


def _by_paper(halves: Sequence[Item], told: Mapping[str, _Told], fits: Fits) -> dict[str, str]:
    """The same where a specialist set the sensor and a paper names the control unit."""
    tags = {rows[0].thing_id: tag for tag, facts in told.items() for rows in facts.values() if rows}
    sentences: dict[str, str] = {}
    for sensor, unit in _split(halves):
        if not told[sensor.tag].get("setting"):
            continue
        paper = _setting(told[sensor.tag]["setting"][-1], tags)
        if grade(replace(_half(sensor, told), setting=paper), _half(unit, told), fits).grade == "confirmed":
            sentences[sensor.tag] = f"{unit.tag}: a paper says that a specialist set the sensor for it ({paper.on})"
            sentences[unit.tag] = f"{sensor.tag}: a paper says that a specialist set that sensor for it ({paper.on})"
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


def _split(several: Sequence[Item]) -> list[tuple[Item, Item]]:
    sensors = [item for item in several if item.kind == SENSOR_KIND]
    return [(sensor, unit) for sensor in sensors for unit in several if unit.kind != SENSOR_KIND]


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


def _seals_of(sensor: Item) -> str:
    days = sorted({seal.when.on for seal in sensor.seals_now if seal.state in ("intact", "never fitted")})
    never = all(seal.state == "never fitted" for seal in sensor.seals_now)
    return "the sensor never had a seal" if never else f"sensor seals intact on {', '.join(days)}"
