"""The cars that rows name: those on record, those that the read adds because somebody said so, and unknown ones."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sqlalchemy.orm import Session

from inventory.cars.queries import cars, former_cars, former_positions
from inventory.errors import Refused, did_you_mean
from inventory.sheets.columns.questions import ADD, AS_TEXT, CARS
from inventory.sheets.plan.part_columns import word_key
from inventory.sheets.plan.problems import CellProblem
from inventory.store.words.names import nearest
from inventory.store.words.nothing import name_given
from inventory.store.words.text import fold

__all__ = ["Cars", "said_of_each"]


def said_of_each(said: Mapping[str, str]) -> dict[str, str]:
    """The answers, one about several cars as an answer about each of them; what is said of a single car counts."""
    each = dict(said)
    for key, answer in said.items():
        sort, *names = key.split("/")
        if sort == CARS and answer in (ADD, AS_TEXT):
            for name in names:
                each.setdefault(word_key("car", name), answer)
    return each


class Cars:
    """The cars on record by folded name; read once, since a sheet names few cars many times."""

    def __init__(self, session: Session, said: Mapping[str, str] | None = None) -> None:
        """`said`: answers by key; they may say that a car is to be added."""
        adding = f"{word_key('car', '')}"
        self._to_add = {key.removeprefix(adding) for key, answer in (said or {}).items() if answer == ADD}
        self._added: dict[str, str] = {}
        self._names = {fold(car.name): car.name for car in cars(session)}
        self._cars_before, self._positions_before = former_cars(session), former_positions(session)

    def names(self) -> list[str]:
        """The names of all cars on record."""
        return list(self._names.values())

    def name_of(self, text: str) -> str | None:
        """The car's own name; None if there is no such car."""
        return self._names.get(fold(text))

    def unknown(self, text: str) -> CellProblem:
        """The problem that there is no such car."""
        if (now := self._cars_before.get(fold(text))) is not None:
            return _renamed("car", text, now)
        near = nearest(text, list(self._names.values()))
        hint = (f"{did_you_mean(near)} " if near else "") + f'to add it: matchmark car add "{text}"'
        return CellProblem("car", text, f'unknown car "{text}"', hint)

    def read(self, text: str) -> str | None:
        """A car on record as a row names it; None if the text names nothing. Raises `Refused` if there is none."""
        if not fold(text):
            return None
        if self.name_of(text) is None and word_key("car", text).removeprefix(word_key("car", "")) in self._to_add:
            self._added[fold(text)] = self._names[fold(text)] = name_given("name of the car", text)
        elif self.name_of(text) is None:
            unknown = self.unknown(text)
            raise Refused("unknown-car", unknown.problem, hint=unknown.hint)
        return text

    def added(self) -> Iterator[str]:
        """The sentence on the cars that the read adds."""
        if self._added:
            yield f"Not on record and added, as you said: {', '.join(sorted(self._added.values()))}"

    def near(self, text: str) -> list[str]:
        """The cars on record that a name may mean."""
        now = self._cars_before.get(fold(text))
        return [now] if now is not None else nearest(text, list(self._names.values()))

    def renamed(self, car: str | None, position: str | None) -> CellProblem | None:
        """The problem that a position has another name by now; None if it has not."""
        now = self._positions_before.get(fold(car or ""), {}).get(fold(position or ""))
        return None if now is None else _renamed("position", position or "", now)


def _renamed(what: str, before: str, now: str) -> CellProblem:
    return CellProblem(what, before, f'the {what} "{before}" is called "{now}" today', "write that name")
