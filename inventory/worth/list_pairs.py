"""Which half on the list goes with which, said in the words that a list may use. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from inventory.pairing.halves import PAIRED_KINDS, SENSOR_KIND, Half, OnRecord, SealNoted
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
    sentences = _sentences([item for item in items if item.kind in PAIRED_KINDS and item.match_code], told, fits)
    return [replace(item, goes_with=sentences.get(item.tag)) for item in items]


def _sentences(halves: Sequence[Item], told: Mapping[str, _Told], fits: Fits) -> dict[str, str]:
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


def _split(several: Sequence[Item]) -> list[tuple[Item, Item]]:
    sensors = [item for item in several if item.kind == SENSOR_KIND]
    return [(sensor, unit) for sensor in sensors for unit in several if unit.kind != SENSOR_KIND]


def _half(item: Item, told: Mapping[str, _Told]) -> Half:
    """A half as the pairing judgement is told of it, as of the day of the list; the grade asks for no probability."""
    facts = told[item.tag]
    inside = [fact for fact in facts.get("work", []) if fact.area == "on the unit"]
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
            SealNoted(seal.seal, seal.state, seal.when.fact, seal.document)  # type: ignore[arg-type]
            for seal in item.seals_now
        ),
        opened=OnRecord(inside[-1].what) if inside else None,
        decisive_failure=OnRecord(failed[0].procedure) if failed else None,
    )


def _seals_of(sensor: Item) -> str:
    days = sorted({seal.when.on for seal in sensor.seals_now if seal.state in ("intact", "never fitted")})
    never = all(seal.state == "never fitted" for seal in sensor.seals_now)
    return "the sensor never had a seal" if never else f"sensor seals intact on {', '.join(days)}"
