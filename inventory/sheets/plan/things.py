"""What a row of facts is about, if it is no part: a car, a position, a place, a person, an instrument, the record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactKind, declared
from inventory.sheets.plan.fact_rows import FactRow
from inventory.sheets.plan.on_record import Identity
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.store.begin import RECORD_THING
from inventory.store.words.text import fold

__all__ = ["ThingsNamed", "about_thing", "renumber"]

#: The values that name a fact by its id, by kind of fact.
_NAME_FACTS = {"removal": "strip down", "strip_down_end": "strip down", "stay": "strip down", "job_done": "job"}


def renumber(kind: FactKind, texts: dict[str, str], renumbered: Mapping[str, str]) -> None:
    """Put the id that a fact has in this record where a row of another record's workbook names it."""
    column = _NAME_FACTS.get(kind.name, "")
    if named := texts.get(column):
        texts[column] = renumbered.get(named, f"{named} of that record")


def about_thing(row: FactRow) -> tuple[str, str, str] | None:
    """The column, the table and the name of what a row is about; None if it is about a part."""
    things = row.sheet.kind.things
    if not things:
        return "", "record_info", ""
    for column in ("position", *things):
        if things.get(column, "part") != "part" and column in row.texts:
            return column, things[column], row.texts[column]
    column = next(iter(things))
    return None if "part" in things.values() else (column, things[column], "")


class ThingsNamed:
    """The things on record that rows name, each looked up once."""

    def __init__(self, session: Session, new: Mapping[str, Mapping[str, int]] | None = None) -> None:
        """`new`: the keys of things that are not written yet, by table and folded name."""
        self._session, self._registry = session, declared(session)
        self._found: dict[tuple[str, ...], int | Refused] = {
            (table, name, ""): key for table, named in (new or {}).items() for name, key in named.items()
        }

    def find(self, row: FactRow, column: str, table: str, name: str) -> tuple[CellProblem, ...]:
        """Find what a row is about and put it there, or say why it cannot be found."""
        if table == "record_info":
            row.part = Identity(RECORD_THING, "the record", None, None, None, None)
            return ()
        if not name:
            return (CellProblem(column, "", "does not say what it is about", f"name the {column}"),)
        try:
            key = self.key(table, name, row.texts.get("car", "") if table == "position" else "")
        except Refused as refusal:
            return (problem_of(refusal, column, name),)
        row.part = Identity(key, name, None, None, None, None)
        return ()

    def key(self, table: str, name: str, car: str = "") -> int:
        """The key of a thing by its name; of a position with its car. Raises `Refused`."""
        asked = (table, fold(name), fold(car))
        if asked not in self._found:
            try:
                beside: dict[str, Any] = {"car_id": self.key("car", car)} if car else {}
                self._found[asked] = self._registry.thing(table).find(self._session, name, beside)
            except Refused as refusal:
                self._found[asked] = refusal
        found = self._found[asked]
        if isinstance(found, Refused):
            raise found
        return found
