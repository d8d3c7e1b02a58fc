"""Cars half taken apart, for the first screen: how many parts are off, how many positions are still to do.

SQL text, as in `parts.load_lines`: the first screen stands before SQLAlchemy is imported. It counts what
`queries.status` lists.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.cars.undone import UNDONE
from inventory.store.connection.readonly import Source, fetch_all
from inventory.store.words.text import fold

__all__ = ["OpenCar", "StaysOn", "any_car", "going_together", "open_cars", "stays_found"]


@dataclass(frozen=True)
class OpenCar:
    """A car in an open strip-down: its name, since when, how many parts are off and still on, the day of the last."""

    car: str
    since: str
    off: int
    still_on: int
    last_on: str | None


_OFF = "FROM removal WHERE removal.strip_down_id = strip_down.id AND removal.superseded_by IS NULL"


_IS_OPEN = """strip_down.superseded_by IS NULL
AND NOT EXISTS (SELECT 1 FROM strip_down_end AS ended
                WHERE ended.strip_down_id = strip_down.id AND ended.superseded_by IS NULL)"""


_HERE = "FROM part WHERE part.car_id = position.car_id AND part.position_id = position.id AND part.fitted"


_OPEN = f"""
SELECT car.name, strip_down.so_from,
       (SELECT count(*) {_OFF}),
       (SELECT count(*) FROM position
        WHERE position.car_id = strip_down.thing_id AND position.taken_away IS NULL AND NOT ({UNDONE})
        AND NOT EXISTS (SELECT 1 {_OFF} AND removal.position_id = position.id)
        AND NOT EXISTS (SELECT 1 FROM stay WHERE stay.strip_down_id = strip_down.id AND stay.superseded_by IS NULL
                        AND stay.thing_id = position.id)
        AND (EXISTS (SELECT 1 {_HERE} = 'yes') OR NOT EXISTS (SELECT 1 {_HERE} = 'no'))),
       (SELECT removal.so_from {_OFF} ORDER BY removal.ranked DESC, removal.id DESC LIMIT 1)
FROM strip_down
JOIN car ON car.id = strip_down.thing_id
WHERE {_IS_OPEN}
ORDER BY strip_down.counts_from, strip_down.ranked, strip_down.id
"""  # noqa: S608 - put together from the texts above


def open_cars(source: Source) -> list[OpenCar]:
    """The cars in open strip-downs, oldest first."""
    return [OpenCar(*row) for row in fetch_all(source, _OPEN)]


_GOING_TOGETHER = f"""
SELECT car.name,
       (SELECT count(*) FROM part WHERE part.car_id = car.id AND part.fitted = 'no' AND part.gone IS NULL) AS off
FROM car
WHERE EXISTS (SELECT 1 FROM part WHERE part.car_id = car.id AND part.fitted = 'no' AND part.gone IS NULL)
AND EXISTS (SELECT 1 FROM part JOIN removal ON removal.thing_id = part.id
            WHERE part.car_id = car.id AND part.fitted = 'yes'
            AND removal.car_id = car.id AND removal.superseded_by IS NULL)
AND NOT EXISTS (SELECT 1 FROM strip_down WHERE strip_down.thing_id = car.id AND {_IS_OPEN})
ORDER BY car.name_folded
"""  # noqa: S608 - put together from the texts above


def going_together(source: Source) -> list[tuple[str, int]]:
    """The cars going back together: something is on again, something still off, and no strip-down is open."""
    return [(name, off) for name, off in fetch_all(source, _GOING_TOGETHER)]


def any_car(source: Source) -> bool:
    """Whether any car is on record."""
    return bool(fetch_all(source, "SELECT 1 FROM car WHERE taken_away IS NULL LIMIT 1"))


@dataclass(frozen=True)
class StaysOn:
    """What stays on a car, and why."""

    car: str
    position: str
    why: str

    @property
    def says(self) -> str:
        """It in one line."""
        return f"stays on: {self.position}, {self.car}: {self.why}"


_STAYS = """
SELECT car.name, position.name, stay.why FROM stay
JOIN position ON position.id = stay.thing_id JOIN car ON car.id = position.car_id
WHERE stay.superseded_by IS NULL AND car.taken_away IS NULL AND position.taken_away IS NULL
ORDER BY car.name, position.name, stay.id
"""


def stays_found(source: Source, words: Sequence[str]) -> list[StaysOn]:
    """What stays on a car, by words in the reason, position or car; one at least in the reason."""
    folded = [fold(word) for word in words if len(fold(word)) > 2]
    if not folded or len(folded) < len([word for word in words if fold(word)]):
        return []
    found = [StaysOn(*row) for row in fetch_all(source, _STAYS)]
    return [
        each
        for each in found
        if all(any(word in fold(text) for text in (each.why, each.position, each.car)) for word in folded)
        and any(word in fold(each.why) for word in folded)
    ]
