"""Builds the rows of new parts straight from the cells of a sheet.

A new part hardly ever has two facts of one kind, so its row and its search text follow from its cells. The general way,
which computes them from sorted facts, takes several times as long. `verify` uses the general way, and the tests compare
the two.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from inventory.facts.how_known import FROM_A_SHEET
from inventory.parts.actions import condition_rows
from inventory.parts.facts import search_text_of
from inventory.parts.judgements import worst_seal
from inventory.parts.tables import Marking, Note, OwnNumber, Part, UnreadCell
from inventory.places.tables import Move
from inventory.provenance.actions import provenance_fact
from inventory.reference.data import Reference
from inventory.seals.actions import sighting
from inventory.sheets.plan.name_keys import NameKeys, whereabouts
from inventory.sheets.plan.part_cells import FROM_ITSELF, PartCells
from inventory.sheets.plan.rows import PartPlan
from inventory.sheets.plan.to_facts import Written, first_seal, leaving_fact
from inventory.sheets.plan.told import CAME_AS, how_it_came, lane_of, undated
from inventory.store.days.dates import When
from inventory.store.facts import Act, make_fact, when_columns
from inventory.store.journal.entries import canonical
from inventory.store.tables import Base, FactColumns
from inventory.store.words.text import fold
from inventory.teardown.tables import Fitting, Removal
from inventory.valuation.tables import Valuation

__all__ = ["NewParts"]

#: How many patterns, days and folded texts are remembered.
_MOST_KEPT = 10_000


class _Folded(dict[str, str]):
    """Texts as they are searched; each is folded once."""

    def __missing__(self, text: str) -> str:
        if len(self) >= _MOST_KEPT:
            self.clear()
        self[text] = folded = fold(text)
        return folded


class NewParts:
    """Builds the rows of new parts. Facts are copies of patterns that the subjects' own functions make and check."""

    def __init__(self, act: Act, day: When, names: NameKeys, reference: Reference, written: Written) -> None:
        """`day`: when everything was so for which a row gives no day."""
        self._act, self._day, self._undated, self._names = act, day, undated(day.latest), names
        self._reference, self.written = reference, written
        self._patterns: dict[object, FactColumns] = {}
        self._days: dict[tuple[str, str], dict[str, object]] = {}
        self._worst_of: dict[str, str] = {}
        self._folded = _Folded()
        self._of_days: dict[When, NewParts] = {}

    def kept_up_to(self, day: When | None) -> NewParts:
        """The same for a table that was kept up to another day than the file (None: the same day)."""
        if day is None:
            return self
        if day not in self._of_days:
            written = replace(self.written, day=day)
            self._of_days[day] = NewParts(self._act, day, self._names, self._reference, written)
        return self._of_days[day]

    def rows(self, plan: PartPlan, part: Part) -> tuple[list[Base], str]:
        """The facts of a new part, whose columns are filled in, and its search text."""
        cells, copy = plan.cells, self._copy
        columns = vars(part)  # past the mapped class's accessors, which take longer than all else here
        key = columns["id"]
        marks = _marks(cells)
        columns |= marks
        columns["part_number_squeezed"] = cells.number_key or None
        columns["serial_squeezed"], columns["serial_alike"] = cells.serial_key or None, cells.serial_alike or None
        facts: list[Any] = [copy(key, marks, self._plain, Marking)]
        if cells.seal_state is not None:
            seen = copy(
                key, {}, self._sighting, cells.seal or first_seal(cells.kind, self._reference), cells.seal_state
            )
            columns["seal_state"] = self._worst_seal(seen, cells.seal_state)
            facts.append(seen)
        if cells.condition is not None:
            columns["condition"] = cells.condition
            facts.append(copy(key, {}, self._assessment, int(cells.condition)))
        facts += self._whereabouts(plan, key, columns)
        facts += self._ownership(plan, key, columns)
        if cells.value is not None:
            (amount, currency), basis = cells.value, cells.value_basis or "not stated"
            values = {"amount": amount, "currency": currency, "basis": basis, **self._on(cells.value_on)}
            facts.append(copy(key, values, self._plain, Valuation))
        if cells.notes is not None:
            facts.append(copy(key, {"text": cells.notes}, self._plain, Note))
        for column, text in cells.unread.items():
            values = {"header": cells.headers.get(column, column), "for_column": column, "text": text}
            facts.append(copy(key, values, self._plain, UnreadCell))
        if cells.own_number is not None:
            numbered = {"number": cells.own_number, "given_in": cells.given_in}
            facts.append(copy(key, numbered, self._plain, OwnNumber))
        if cells.left is not None:
            facts.append(leaving_fact(self._act, key, cells.left, self._day))
        for fact in facts:
            vars(fact).update(self.written.columns(plan, fact))
        return facts, self._search_text(cells, columns)

    def _search_text(self, cells: PartCells, columns: Mapping[str, Any]) -> str:
        for text, folded in ((cells.serial, cells.serial_key), (cells.part_number, cells.number_key)):
            if text is not None:
                self._folded[text] = folded
        names = {"car_id": cells.car, "position_id": cells.position, "place_id": cells.place}
        notes = (cells.own_number, *cells.unread.values(), cells.notes)
        return search_text_of(columns, names, notes, folded=self._folded.__getitem__)

    def _worst_seal(self, seen: FactColumns, state: str) -> str:
        """The state of all seals of a part of which one was seen; remembered by the state of that one."""
        if state not in self._worst_of:
            self._worst_of[state] = worst_seal([seen])
        return self._worst_of[state]

    def _whereabouts(self, plan: PartPlan, part: int, columns: dict[str, Any]) -> list[Base]:
        """Where it is: on a car, off a car, at a place."""
        facts: list[Base] = []
        car, position, place = whereabouts(plan)
        if car is not None:
            car_id = self._names.car(car)
            where = {"car_id": car_id, "position_id": self._names.position(car_id, position) if position else None}
            facts.append(self._copy(part, where, self._plain, Fitting if place is None else Removal))
            columns |= where
            columns["fitted"] = "yes" if place is None else "no"
        if place is not None:
            columns["place_id"] = self._names.place(place)
            facts.append(self._copy(part, {"place_id": columns["place_id"]}, self._plain, Move))
        return facts

    def _ownership(self, plan: PartPlan, part: int, columns: dict[str, Any]) -> list[Base]:
        """How it came, and whose it is. Two facts only for a part of our own that is lent out and was acquired."""
        cells, whose = plan.cells, plan.cells.whose or "own"
        facts: list[Any] = []
        if cells.acquired:
            price, currency = cells.price or (None, None)
            seller = self._names.person(cells.acquired_from) if cells.acquired_from else None
            values = {"price": price, "currency": currency, "party_id": seller, **self._on(cells.acquired_on)}
            how, said = how_it_came(whose, bought=plan.bought), None if whose == "lent out" else cells.whose
            facts.append(self._copy(part, values, self._provenance, whose, how, said))
        if whose != "own" and (not facts or whose == "lent out"):
            facts.append(self._copy(part, {}, self._provenance, whose, CAME_AS.get(whose, "not known"), whose))
        for fact in facts:
            columns["whose"] = vars(fact)["whose"] or columns["whose"]
        return facts

    # The patterns.

    def _plain(self, model: type[FactColumns]) -> FactColumns:
        return make_fact(model, self._act, 0, self._day, how_known=FROM_A_SHEET)

    def _sighting(self, seal: str, state: str) -> FactColumns:
        return sighting(self._act, 0, seal, state, self._day, how_known=FROM_A_SHEET)

    def _assessment(self, category: int) -> Any:
        (fact,) = condition_rows(self._act, 0, self._day, category, None, None, how_known=FROM_A_SHEET)
        return fact

    def _provenance(self, whose: str, how: str, said: str | None) -> FactColumns:
        lane = lane_of(whose)
        return provenance_fact(self._act, 0, self._undated, how, lane=lane, whose=said, attribution=FROM_A_SHEET)

    def _copy(self, part: int, values: Mapping[str, object], make: Callable[..., FactColumns], *given: object) -> Any:
        """A copy of the pattern `make(*given)`, which is made once, with other values and for another part."""
        key = make, given
        pattern = self._patterns.get(key)
        if pattern is None:
            if len(self._patterns) >= _MOST_KEPT:
                self._patterns.clear()
            pattern = self._patterns[key] = make(*given)
        fact = object.__new__(type(pattern))
        object.__setattr__(fact, "__dict__", {**vars(pattern), **values, "thing_id": part})
        return fact

    def _on(self, when: When | None) -> dict[str, object]:
        """The columns of the day; none if it is the day of the pattern."""
        if when is None:
            return {}
        key = when.edtf, when.told
        if key not in self._days:
            if len(self._days) >= _MOST_KEPT:
                self._days.clear()
            self._days[key] = when_columns(self._act, when)
        return self._days[key]


def _marks(cells: PartCells) -> dict[str, Any]:
    """The columns of a marking that a row gives. The code, its state and where it was read go together."""
    code, state = cells.match_code or (None, None)
    return {
        "kind": cells.kind,
        "maker": cells.maker,
        "part_number": cells.part_number,
        "serial": cells.serial,
        "serial_state": cells.serial_state,
        "date_code": cells.date_code,
        "match_code": code,
        "match_code_state": state,
        "match_code_read_from": None if state is None or cells.read_from == FROM_ITSELF else cells.read_from,
        "marks": cells.marks,
        "extra": canonical(cells.counted | cells.extra) if cells.extra or cells.counted else None,
    }
