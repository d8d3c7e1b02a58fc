"""Turns the plan of a read into facts: those of parts on record, of the sheets of facts, and of the lists."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from inventory.cars.tables import PositionListing
from inventory.facts.declare import FactKind
from inventory.facts.how_known import FROM_A_SHEET
from inventory.hardware.tables import HardwareStock
from inventory.parts.actions import condition_rows
from inventory.parts.markings import Markings
from inventory.parts.tables import Assessment, Fit, Marking, Note, OwnNumber, UnreadCell
from inventory.places.tables import Move
from inventory.provenance.actions import provenance_fact
from inventory.provenance.tables import Provenance
from inventory.reference.data import Reference
from inventory.seals.actions import sighting
from inventory.seals.tables import SealSighting
from inventory.sheets.columns.cells import UNDATED
from inventory.sheets.columns.leaving import Leaving
from inventory.sheets.plan.differences import (
    changed_own,
    changed_unread,
    new_notes,
    standing_acquisition,
    standing_value,
)
from inventory.sheets.plan.lists import LIST_SHEETS
from inventory.sheets.plan.name_keys import ACQUIRED, NameKeys, whereabouts
from inventory.sheets.plan.part_cells import FROM_ITSELF
from inventory.sheets.plan.rows import FactPlan, ListPlan, PartPlan
from inventory.sheets.plan.told import CAME_AS, how_it_came, lane_of, undated
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import When, parse_when, when_on
from inventory.store.facts import Act, fact_id, make_fact, take_place, when_columns
from inventory.store.tables import Base, FactColumns, Withdrawal
from inventory.teardown.tables import Fitting, Removal
from inventory.valuation.facts import rate_columns
from inventory.valuation.tables import Rate, Valuation

__all__ = [
    "ToFacts",
    "Written",
    "first_seal",
    "leaving_fact",
    "superseded",
    "when_of",
]

#: The columns that are recorded again as somebody's look.
_LOOKED_AT = frozenset({"seal state", "condition"})
#: The facts of a row of parts that somebody sees who looks at the part.
_SEEN = (Marking, SealSighting, Assessment, Fitting, Removal, Move, Note)
_LISTED = (
    *("kind", "maker", "part number", "numbers", "axis", "fasteners", "connections", "mounts"),
    *("area", "behind"),
)


@dataclass(frozen=True)
class Written:
    """Where the facts of a file are written. `file`: its name; `day`: up to which day it was kept."""

    file: str
    act: Act
    day: When
    names: NameKeys

    def columns(self, plan: PartPlan | FactPlan | ListPlan, fact: Any) -> dict[str, Any]:
        """The columns of a new fact that say where it is written, and whose look it is if its row says so."""
        where = f"written in {', '.join(filter(None, (self.file, plan.at)))}"
        look = None if isinstance(plan, ListPlan) else plan.look
        if look is None or not (isinstance(plan, FactPlan) or isinstance(fact, _SEEN)):
            return {
                "reason": f"{where}, kept up to{': not known' if self.day.told == UNDATED else f' {self.day.edtf}'}"
            }
        whose = {"reason": where, "by_id": self.names.looker(look[0])}
        if isinstance(plan, FactPlan):
            return whose
        return {**whose, "how_known": "seen", **when_columns(self.act, look[1])}


def leaving_fact(act: Act, part: int, leaving: Leaving, day: When) -> Provenance:
    """The fact that a part left, as a sheet says; without a day some day up to that of the sheet (`day`)."""
    when = leaving.when or undated(day.latest)
    return provenance_fact(act, part, when, leaving.how, attribution=FROM_A_SHEET, text=leaving.text)


def first_seal(kind_name: str | None, reference: Reference) -> str:
    """The seal that is meant where a sheet gives only a state: the first that the kind has."""
    return next(iter(reference.kind(kind_name).seals), "seal") if kind_name else "seal"


def superseded(plan: PartPlan | FactPlan | ListPlan) -> list[tuple[str, int]]:
    """Table and key of the facts on record that a plan supersedes."""
    if not isinstance(plan, PartPlan):
        read_now = plan.read_now if isinstance(plan, FactPlan) else ()
        old = [] if plan.old is None else [(_kind_of(plan).name, plan.old)]
        return [*old, *((UnreadCell.__tablename__, key) for key in read_now)]
    found = []
    if (came := standing_acquisition(plan.state)) and ACQUIRED & plan.changed:
        found.append((Provenance.__tablename__, came.id))
    if (stated := _standing_value(plan)) and "value" in plan.changed:
        found.append((Valuation.__tablename__, stated.id))
    anew, settled = changed_unread(plan.cells, plan.state)
    gone = [*(old for old, _ in anew.values() if old), *settled.values()]
    found += [(UnreadCell.__tablename__, key) for key, _ in gone]
    return found


def _kind_of(plan: FactPlan | ListPlan) -> FactKind:
    return plan.kind if isinstance(plan, FactPlan) else LIST_SHEETS[plan.sheet].kind


def _standing_value(plan: PartPlan) -> Any:
    """The value on record that a row of parts supersedes: only a row that names the day of both supersedes one."""
    return standing_value(plan.cells, plan.state) if plan.cells.value_on is not None else None


@dataclass
class ToFacts:
    """What facts are built with. `old`: the rows of superseded facts by fact id; `pairs`: each old and its new fact.

    `written_as`: the new facts of another record's workbook, by the ids that they have there.
    """

    act: Act
    day: When
    names: NameKeys
    reference: Reference
    written: Written
    old: Mapping[str, Any] = field(default_factory=dict)
    pairs: list[tuple[Any, Any]] = field(default_factory=list)
    written_as: dict[str, Any] = field(default_factory=dict)

    def kept_up_to(self, plan: PartPlan | FactPlan | ListPlan) -> ToFacts:
        """The same for a table that was kept up to another day than the file."""
        day = plan.day
        return self if day is None else replace(self, day=day, written=replace(self.written, day=day))

    def of_part(self, plan: PartPlan) -> list[Base]:
        """The facts that a row about a part on record becomes, and the facts that they supersede."""
        cells, state, part = plan.cells, plan.state, plan.part
        changed = plan.changed | (_LOOKED_AT if "seen by" in plan.changed else frozenset())
        rows: list[Base] = []
        if marked := _marked(plan):
            rows.append(self._fact(Marking, part, **marked))
        if "seal state" in changed and cells.seal_state is not None:
            seal, found = cells.seal or first_seal(cells.kind or state.kind, self.reference), cells.seal_state
            rows.append(sighting(self.act, part, seal, found, self.day, how_known=FROM_A_SHEET))
        if "condition" in changed and cells.condition is not None:
            rows += condition_rows(self.act, part, self.day, int(cells.condition), None, None, how_known=FROM_A_SHEET)
        rows += self._whereabouts(plan)
        rows += self._ownership(plan)
        if "value" in changed:
            rows += self._value(plan)
        if "notes" in changed:
            rows.append(self._fact(Note, part, text=new_notes(cells.notes, state.notes)))
        if "own number" in changed:
            rows.append(self._fact(OwnNumber, part, number=cells.own_number, given_in=cells.given_in))
        if "left" in changed and cells.left is not None:
            rows.append(leaving_fact(self.act, part, cells.left, self.day))
        rows += self._unread(plan)
        return self._signed(rows, plan)

    def _unread(self, plan: PartPlan) -> Iterable[Base]:
        """The cells that cannot be read; those on record that can be read by now are taken back."""
        anew, settled = changed_unread(plan.cells, plan.state)
        for column, (before, text) in anew.items():
            old = self.old[fact_id(UnreadCell, before[0])] if before else None
            header = plan.cells.headers.get(column, column)
            fact = self._fact(UnreadCell, plan.part, header=header, for_column=column, text=text)
            yield from self._superseding(old, fact)
        yield from self._read_now(plan.part, [key for key, _ in settled.values()])

    def _read_now(self, part: int, keys: Iterable[int]) -> Iterable[Base]:
        """The cells kept as text that can be read by now, taken back."""
        for key in keys:
            old = self.old[fact_id(UnreadCell, key)]
            read = make_fact(Withdrawal, self.act, part, when_on(None, self.act.today), fact=fact_id(UnreadCell, key))
            read.reason = "read now"
            self.pairs.append((old, read))
            yield old
            yield read

    def _signed(self, rows: list[Base], plan: PartPlan | FactPlan | ListPlan) -> list[Base]:
        """The rows; the new facts among them state where they are written, and whose look they are."""
        for fact in rows:
            if isinstance(fact, FactColumns) and fact.id is None:
                again = "changed in a sheet, " if fact.reason else ""
                for name, value in self.written.columns(plan, fact).items():
                    setattr(fact, name, f"{again}{value}" if name == "reason" else value)
        return rows

    def of_row(self, plan: FactPlan, part: int) -> list[Base]:
        """The fact that a row of a sheet of facts becomes, what is written with it, and the one that it supersedes."""
        keys = {column: self.names.named(table, name) for column, (table, name) in plan.draft.named.items()}
        columns = {**plan.draft.columns, **keys}
        when = plan.when or self.day
        fact = make_fact(plan.kind.table, self.act, part, when, how_known=plan.how_known, **columns)
        if plan.written_as:
            self.written_as[plan.written_as] = fact
        read_now = self._read_now(part, plan.read_now)
        return self._signed([*plan.draft.beside, *self._superseding(self._old(plan), fact), *read_now], plan)

    def of_list(self, plan: ListPlan) -> list[Base]:
        """The fact that a row of a list becomes; a position of which nothing is said has none."""
        when, old = plan.when or self.day, self._old(plan)
        if plan.sheet == "fits":
            sensor, unit = map(self.names.number, plan.about)
            values: dict[str, Any] = {"unit_number_id": unit, "fits": plan.cells["fits"]}
            fact: FactColumns = make_fact(Fit, self.act, sensor, when, how_known="from a list", **values)
            return self._signed(list(self._superseding(old, fact)), plan)
        if plan.sheet == "rates":
            rate = rate_columns(*plan.about, plan.cells["rate"], plan.cells["source"])
            stated: FactColumns = make_fact(Rate, self.act, RECORD_THING, when, how_known=FROM_A_SHEET, **rate)
            return self._signed(list(self._superseding(old, stated)), plan)
        if plan.sheet == "hardware":
            said = {name: plan.cells.get(name) for name in ("spec", "batch", "cured")} | {
                "count": int(plan.cells["count"])
            }
            place = self.names.place(plan.about[0])
            counted: FactColumns = make_fact(HardwareStock, self.act, place, when, how_known=FROM_A_SHEET, **said)
            return self._signed(list(self._superseding(old, counted)), plan)
        values = {name.replace(" ", "_"): plan.cells.get(name) for name in _LISTED}
        values["ordinal"] = int(plan.cells["order"]) if "order" in plan.cells else None
        if not any(value is not None for value in values.values()):
            return []
        position = self.names.position(self.names.car(plan.about[0]), plan.about[1])
        fact = make_fact(PositionListing, self.act, position, when, how_known="from a list", **values)
        return self._signed(list(self._superseding(old, fact)), plan)

    def _old(self, plan: FactPlan | ListPlan) -> Any:
        return self.old[fact_id(_kind_of(plan).name, plan.old)] if plan.old is not None else None

    def _fact(self, model: type[FactColumns], part: int, when: When | None = None, **values: Any) -> Any:
        return make_fact(model, self.act, part, when or self.day, how_known=FROM_A_SHEET, **values)

    def _whereabouts(self, plan: PartPlan) -> Iterable[Base]:
        car, position, place = whereabouts(plan)
        if car is not None:
            car_id = self.names.car(car)
            position_id = self.names.position(car_id, position) if position else None
            model: Any = Fitting if plan.cells.place is None else Removal
            yield self._fact(model, plan.part, car_id=car_id, position_id=position_id)
        if place is not None:
            yield self._fact(Move, plan.part, place_id=self.names.place(place))

    def _ownership(self, plan: PartPlan) -> Iterable[Base]:
        """The facts of how the part came and whose it is, if they differ from the record."""
        whose = plan.cells.whose or plan.state.whose
        if ACQUIRED & plan.changed:
            yield from self._came(plan, whose)
        if "whose" in plan.changed:
            how = CAME_AS.get(whose, "not known")
            when, lane = undated(self.act.today), lane_of(whose)
            yield provenance_fact(self.act, plan.part, when, how, lane=lane, whose=whose, attribution=FROM_A_SHEET)

    def _came(self, plan: PartPlan, whose: str) -> Iterable[Base]:
        """The fact of how the part came; it supersedes an earlier one."""
        cells, old = plan.cells, standing_acquisition(plan.state)
        if old is None:
            row, when = None, cells.acquired_on or undated(self.day.latest)
            how, price = how_it_came(whose, bought=plan.bought), cells.price
            party = self.names.person(cells.acquired_from) if cells.acquired_from else None
            kept: dict[str, Any] = {"lane": lane_of(whose), "attribution": FROM_A_SHEET}
        else:
            row, when = self.old[fact_id(Provenance, old.id)], cells.acquired_on or when_of(old.on, old.told)
            how, price = old.how, cells.price or ((old.price, old.currency or "") if old.price else None)
            party = self.names.person(cells.acquired_from) if cells.acquired_from else row.party_id
            kept = {name: getattr(row, name) for name in ("lane", "whose", "attribution", "document_id", "text")}
        fact = provenance_fact(self.act, plan.part, when, how, party_id=party, price=price, **kept)
        yield from self._superseding(row, fact)

    def _value(self, plan: PartPlan) -> Iterable[Base]:
        """A value. It supersedes one on the same basis only if the row names the day of both."""
        cells, standing = plan.cells, _standing_value(plan)
        row = self.old[fact_id(Valuation, standing.id)] if standing else None
        amount, currency = cells.value or ("", "")
        fact = self._fact(
            Valuation,
            plan.part,
            cells.value_on,
            amount=amount,
            currency=currency,
            basis=cells.value_basis or (standing.basis if standing else "not stated"),
            source=row.source if row else None,
            capacity=row.capacity if row else None,
        )
        yield from self._superseding(row, fact)

    def _superseding(self, old: Any, fact: Any) -> Iterable[Base]:
        """A fact, and the one that it supersedes, if there is one; their keys are exchanged when all are built."""
        if old is not None:
            self.pairs.append((old, fact))
            fact.reason = "changed in a sheet"  # completed in `_signed`
            take_place(fact, old)
            yield old
        yield fact


def _marked(plan: PartPlan) -> dict[str, Any]:
    """The columns of a marking that changed. The code, its state and where it was read go together."""
    cells, state, changed, looked = plan.cells, plan.state, plan.changed, "seen by" in plan.changed
    marks: dict[str, Any] = {
        name: getattr(cells, name)
        for name in ("kind", "maker", "part_number", "serial", "serial_state", "date_code", "marks")
        if name.replace("_", " ") in changed or looked
    }
    if {"match code", "match code read from"} & changed or (looked and cells.match_code):
        given = cells.match_code if "match code" in changed or looked else None
        code, word = given or (state.match_code, state.match_code_state)
        origin = cells.read_from or (None if "match code" in changed or looked else state.match_code_read_from)
        marks |= {
            "match_code": code,
            "match_code_state": word,
            "match_code_read_from": None if origin == FROM_ITSELF else origin,
        }
    if own := changed_own(cells, state):
        marks["extra"] = own
    return Markings(**marks).columns() if marks else {}


def when_of(edtf: str, told: str | None) -> When:
    """The time of a fact on record, from its EDTF text and its original words."""
    when = parse_when(edtf)
    return When(edtf, told or "", when.earliest, when.latest)
