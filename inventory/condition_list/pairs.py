"""Says which sensor and which control unit on the list belong together. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from inventory.condition_list.values import Item
from inventory.pairing.candidate import SENSOR_KIND, Candidate
from inventory.pairing.findings.by_part import name
from inventory.pairing.plan.shelf import Shelf, Side, build_shelf

if TYPE_CHECKING:
    from inventory.pairing.findings.fit import Fits

__all__ = ["add_mates"]

#: How many mates of one part are named.
_MOST_NAMED = 3


def add_mates(items: Sequence[Item], candidates: Sequence[Candidate], fits: Fits) -> list[Item]:
    """The items, with a sentence on the mate for each part of a confirmed pair.

    `candidates`: the sensors and control units among the items, in the same state of the record. Only confirmed pairs
    are named; lower grades are questions for the workshop. Of many mates the first few are named. Parts that are alike
    are graded together.
    """
    by_tag = {item.tag: item for item in items}
    sensors = [part for part in candidates if part.kind == SENSOR_KIND]
    units = [part for part in candidates if part.kind != SENSOR_KIND]
    if not sensors or not units:
        return list(items)
    sentences: dict[str, str] = {}
    of_sensors, of_units = _confirmed(build_shelf(sensors, units, fits))
    for sensor, mates in of_sensors:
        sentences[sensor.tag] = _of_sensor(sensor, mates, by_tag)
    for unit, mates in of_units:
        sentences[unit.tag] = _of_unit(mates, by_tag) + _failed([unit, *mates.named])
    return [replace(item, goes_with=sentences.get(item.tag)) for item in items]


@dataclass(frozen=True)
class _Mates:
    """The mates of a part in confirmed pairs: the first few by tag, and their number."""

    named: tuple[Candidate, ...]
    count: int

    @classmethod
    def of(cls, classes: Iterable[Sequence[Candidate]]) -> _Mates:
        """From the classes that its mates form, each in the order of tags."""
        several = list(classes)
        first = sorted((part for some in several for part in some[:_MOST_NAMED]), key=lambda part: part.tag)
        return cls(tuple(first[:_MOST_NAMED]), sum(map(len, several)))

    def __str__(self) -> str:
        more = self.count - len(self.named)
        return " or ".join([*(part.tag for part in self.named), *([f"{more} more"] if more else [])])


_WithMates: TypeAlias = list[tuple[Candidate, _Mates]]


def _confirmed(shelf: Shelf) -> tuple[_WithMates, _WithMates]:
    """The sensors and the control units in confirmed pairs, each with its mates."""
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
        _with_mates(shelf.sensors, rows, right, by_sensor, shelf.units),
        _with_mates(shelf.units, columns, left, by_unit, shelf.sensors),
    )


def _with_mates(
    side: Side,
    free: Mapping[int, Sequence[int]],
    classes: Sequence[Sequence[Candidate]],
    bound: Mapping[int, Sequence[int]],
    others: Side,
) -> _WithMates:
    """Each part of a side that has mates: whole classes, and parts it is bound to one by one."""
    found: _WithMates = []
    of_class = {number: _Mates.of(classes[each] for each in several) for number, several in free.items()}
    for place, part in enumerate(side.parts):
        number = int(side.of[place])
        if place in bound:
            alone = [[others.parts[other]] for other in bound[place]]
            found.append((part, _Mates.of([*alone, *(classes[each] for each in free.get(number, ()))])))
        elif number in of_class:
            found.append((part, of_class[number]))
    return found


def _classes(side: Side) -> list[list[Candidate]]:
    """The parts of each class by tag."""
    return [[side.parts[int(place)] for place in sorted(members)] for members in side.members]


def _of_sensor(sensor: Candidate, mates: _Mates, by_tag: Mapping[str, Item]) -> str:
    failed = _failed([sensor, *mates.named])
    if sensor.setting is not None:
        return f"{mates}: a paper says that a specialist set the sensor for it ({sensor.setting.on}){failed}"
    return f"{mates}: codes read on both, equal; {_seals_of([by_tag[sensor.tag]])}{failed}"


def _of_unit(mates: _Mates, by_tag: Mapping[str, Item]) -> str:
    on_paper = [sensor for sensor in mates.named if sensor.setting is not None]
    if on_paper:
        sensor = on_paper[-1]
        day = sensor.setting.on if sensor.setting is not None else ""
        return f"{sensor.tag}: a paper says that a specialist set that sensor for it ({day})"
    return f"{mates}: codes read on both, equal; {_seals_of([by_tag[sensor.tag] for sensor in mates.named])}"


def _failed(parts: Iterable[Candidate]) -> str:
    """The failed tests, which stand beside the sentence on who belongs with whom."""
    return "".join(f"; {name(part)} {test.says}" for part in parts for test in part.failed)


def _seals_of(sensors: Sequence[Item]) -> str:
    looks = [seal for sensor in sensors for seal in sensor.seals_now]
    if all(seal.state == "never fitted" for seal in looks):
        return "the sensor never had a seal"
    days = sorted({seal.when.on for seal in looks if seal.state in ("intact", "never fitted")})
    return f"sensor seals intact on {', '.join(days)}"
