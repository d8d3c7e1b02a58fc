"""Which half on the list goes with which, said in the words that a list may use. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from inventory.condition_list.values import Item
from inventory.pairing.candidate import SENSOR_KIND, Candidate
from inventory.pairing.plan.shelf import Shelf, Side, set_out

if TYPE_CHECKING:
    from inventory.pairing.findings.fit import Fits

__all__ = ["with_mates"]

#: How many mates of one part are named.
_MOST_NAMED = 3


def with_mates(items: Sequence[Item], candidates: Sequence[Candidate], fits: Fits) -> list[Item]:
    """The items, each half of a confirmed pair with the sentence that says with which and why.

    `candidates`: the halves among the items, in the same state of the record. Only a confirmed pair is named: anything
    less is a question for the workshop, not for a list. Of many mates the first few are named. Grades are worked out
    once for all parts that are alike, not pair by pair.
    """
    by_tag = {item.tag: item for item in items}
    sensors = [half for half in candidates if half.kind == SENSOR_KIND]
    units = [half for half in candidates if half.kind != SENSOR_KIND]
    if not sensors or not units:
        return list(items)
    sentences: dict[str, str] = {}
    of_sensors, of_units = _confirmed(set_out(sensors, units, fits))
    for sensor, mates in of_sensors:
        sentences[sensor.tag] = _of_sensor(sensor, mates, by_tag)
    for unit, mates in of_units:
        sentences[unit.tag] = _of_unit(mates, by_tag)
    return [replace(item, goes_with=sentences.get(item.tag)) for item in items]


@dataclass(frozen=True)
class _Mates:
    """The mates of a half in a confirmed pair: the first few by tag, and how many there are."""

    named: tuple[Candidate, ...]
    count: int

    @classmethod
    def of(cls, classes: Iterable[Sequence[Candidate]]) -> _Mates:
        """From the classes that its mates form, each in the order of tags."""
        several = list(classes)
        first = sorted((half for some in several for half in some[:_MOST_NAMED]), key=lambda half: half.tag)
        return cls(tuple(first[:_MOST_NAMED]), sum(map(len, several)))

    def __str__(self) -> str:
        more = self.count - len(self.named)
        return " or ".join([*(half.tag for half in self.named), *([f"{more} more"] if more else [])])


_Found: TypeAlias = list[tuple[Candidate, _Mates]]


def _confirmed(shelf: Shelf) -> tuple[_Found, _Found]:
    """The sensors, and the control units, that are in a confirmed pair, each with its mates."""
    left, right = _classes(shelf.sensors), _classes(shelf.units)
    rows: dict[int, list[int]] = defaultdict(list)
    columns: dict[int, list[int]] = defaultdict(list)
    by_sensor: dict[int, list[int]] = defaultdict(list)
    by_unit: dict[int, list[int]] = defaultdict(list)
    for edge in shelf.edges:
        if edge.grade != "confirmed":
            continue
        if not edge.bound:
            rows[edge.row].append(edge.column)
            columns[edge.column].append(edge.row)
        for sensor, unit in edge.bound:
            by_sensor[sensor].append(unit)
            by_unit[unit].append(sensor)
    return (
        _with(shelf.sensors, rows, right, by_sensor, shelf.units),
        _with(shelf.units, columns, left, by_unit, shelf.sensors),
    )


def _with(
    side: Side,
    free: Mapping[int, Sequence[int]],
    classes: Sequence[Sequence[Candidate]],
    bound: Mapping[int, Sequence[int]],
    others: Side,
) -> _Found:
    """Each half of a side that has mates: those of whole classes, and those it is bound to one by one."""
    found: _Found = []
    of_class = {number: _Mates.of(classes[each] for each in several) for number, several in free.items()}
    for place, half in enumerate(side.halves):
        number = int(side.of[place])
        if place in bound:
            alone = [[others.halves[other]] for other in bound[place]]
            found.append((half, _Mates.of([*alone, *(classes[each] for each in free.get(number, ()))])))
        elif number in of_class:
            found.append((half, of_class[number]))
    return found


def _classes(side: Side) -> list[list[Candidate]]:
    """The halves of each class in the order of tags."""
    return [[side.halves[int(place)] for place in sorted(members)] for members in side.members]


def _of_sensor(sensor: Candidate, mates: _Mates, by_tag: Mapping[str, Item]) -> str:
    if sensor.setting is not None:
        return f"{mates}: a paper says that a specialist set the sensor for it ({sensor.setting.on})"
    return f"{mates}: codes read on both, equal; {_seals_of([by_tag[sensor.tag]])}"


def _of_unit(mates: _Mates, by_tag: Mapping[str, Item]) -> str:
    on_paper = [sensor for sensor in mates.named if sensor.setting is not None]
    if on_paper:
        sensor = on_paper[-1]
        day = sensor.setting.on if sensor.setting is not None else ""
        return f"{sensor.tag}: a paper says that a specialist set that sensor for it ({day})"
    return f"{mates}: codes read on both, equal; {_seals_of([by_tag[sensor.tag] for sensor in mates.named])}"


def _seals_of(sensors: Sequence[Item]) -> str:
    looks = [seal for sensor in sensors for seal in sensor.seals_now]
    if all(seal.state == "never fitted" for seal in looks):
        return "the sensor never had a seal"
    days = sorted({seal.when.on for seal in looks if seal.state in ("intact", "never fitted")})
    return f"sensor seals intact on {', '.join(days)}"
