"""What one row of the sheet of parts says, read cell by cell."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from operator import itemgetter
from typing import Any

from inventory.errors import Refused
from inventory.parts import tags
from inventory.parts.markings import CODE_STATES, READ_FROM
from inventory.provenance.actions import WHOSE
from inventory.seals.states import STATES
from inventory.sheets.cells import amount_of, day_of, kind_named, one_word
from inventory.sheets.columns import word_meant
from inventory.sheets.problems import CellProblem, problem_of
from inventory.sheets.ways import UNKNOWN, Way
from inventory.store.dates import When
from inventory.store.text import fold, short_enough
from inventory.worth.money import BASES

__all__ = ["ANOTHER", "FROM_ITSELF", "PartCells", "PartReader"]

#: In the column `tag`: the row is another part, even if one without a serial could be it.
ANOTHER = "new"
#: In the column `match code read from`: the code was read from the part itself.
FROM_ITSELF = "part"


@dataclass(frozen=True, slots=True)
class PartCells:
    """What a row says of a part; None says nothing. `another`: it is a part of its own, by the person's word.

    `match_code` is the code and its state, `price` and `value` are digits and currency.
    """

    tag: str | None = None
    another: bool = False
    kind: str | None = None
    maker: str | None = None
    part_number: str | None = None
    serial: str | None = None
    date_code: str | None = None
    match_code: tuple[str | None, str] | None = None
    read_from: str | None = None
    marks: str | None = None
    seal: str | None = None
    seal_state: str | None = None
    condition: str | None = None
    car: str | None = None
    position: str | None = None
    place: str | None = None
    whose: str | None = None
    acquired_on: When | None = None
    acquired_from: str | None = None
    price: tuple[str, str] | None = None
    value: tuple[str, str] | None = None
    value_basis: str | None = None
    value_on: When | None = None
    notes: str | None = None
    extra: dict[str, str] = field(default_factory=dict)

    @property
    def acquired(self) -> bool:
        """Whether the row says anything of how the part came."""
        return bool(self.acquired_on or self.acquired_from or self.price)


def _code(text: str) -> tuple[str | None, str]:
    """A match code, or in its place a word for why there is none."""
    word = word_meant("code state", text.casefold())
    return (None, word) if word in CODE_STATES and word != "read" else (text, "read")


def _condition(text: str) -> str:
    if text not in ("0", "1", "2", "3"):
        raise Refused("condition-category", f'Condition is 0, 1, 2 or 3, not "{text}"')
    return text


def _number(what: str) -> Callable[[str], str]:
    return lambda text: short_enough(what, text)


#: column -> (field, reader of a cleaned cell); what is not here is kept as written, or read by `PartReader` itself.
_READERS: dict[str, tuple[str, Callable[[str], Any]]] = {
    "kind": ("kind", kind_named),
    "maker": ("maker", str),
    "part number": ("part_number", _number("part number")),
    "serial": ("serial", _number("serial")),
    "date code": ("date_code", str),
    "match code": ("match_code", _code),
    "match code read from": ("read_from", one_word("origin of a match code", (FROM_ITSELF, *READ_FROM), "read from")),
    "marks": ("marks", str),
    "seal": ("seal", str.casefold),
    "seal state": ("seal_state", one_word("seal state", STATES, "seal state")),
    "condition": ("condition", _condition),
    "car": ("car", str),
    "position": ("position", _number("name of the position")),
    "place": ("place", _number("name of the place")),
    "whose": ("whose", one_word("owner", WHOSE, "whose")),
    "acquired from": ("acquired_from", _number("name")),
    "value basis": ("value_basis", one_word("basis", BASES, "basis")),
    "notes": ("notes", str),
}
#: Texts of a column that are remembered: serials and notes do not come again.
_MOST_KEPT = 5_000
_NAMES = ("car", "position", "place", "acquired_from", "part_number", "serial")


@dataclass(frozen=True, slots=True)
class _Column:
    """How a column is read: its place in the order of what is told, the field it fills, and what was read before."""

    place: int
    name: str
    read: Callable[..., Any]
    known: dict[Any, Any] = field(default_factory=dict)


class PartReader:
    """Reads rows of parts. The same text in the same column is read once: sheets repeat themselves."""

    def __init__(
        self, today: date, currencies: Mapping[str, str | None], ways: Mapping[str, Way], money: str | None = None
    ) -> None:
        """`currencies`: those named in the headers of `price` and `value`; `ways`: how columns are written.

        `money`: the currency of amounts for which nothing in the sheet names one.
        """
        self.currencies = currencies
        self._money = money
        readers: dict[str, tuple[str, Callable[..., Any]]] = {"tag": ("tag", tags.parse), **_READERS}
        for column in ("acquired on", "value on"):
            way = ways.get(column, UNKNOWN)
            readers[column] = (column.replace(" ", "_"), partial(day_of, today=today, way=way))
        for column in currencies:
            readers[column] = (column, partial(amount_of, way=ways.get(column, UNKNOWN)))
        self._columns = {
            column: _Column(place, name, read) for place, (column, (name, read)) in enumerate(readers.items())
        }

    def read(self, values: dict[str, str], extra: dict[str, str]) -> tuple[PartCells, list[CellProblem]]:
        """What a row says, and what in it cannot be taken. `values` are by column, cleaned and not empty."""
        said: dict[str, Any] = {"extra": extra}
        wrong: list[tuple[int, CellProblem]] = []
        another = values.get("tag", "").casefold() == ANOTHER
        if another:
            said["another"] = True
        for column, text in values.items():
            how = self._columns.get(column)
            if how is None or (another and column == "tag"):
                continue
            # A fraction that was a number in its file reads otherwise than the same text.
            beside = (self._currency(column, values), type(text)) if column in self.currencies else None
            try:
                said[how.name] = how.known[text, beside]
            except KeyError:
                try:
                    said[how.name] = how.read(text, beside[0]) if beside else how.read(text)
                except Refused as refusal:
                    wrong.append((how.place, problem_of(refusal, column, text)))
                    continue
                if len(how.known) >= _MOST_KEPT:
                    how.known.clear()
                how.known[text, beside] = said[how.name]
        wrong.sort(key=itemgetter(0))
        return _settled(said, values, [problem for _, problem in wrong])

    def _currency(self, column: str, values: dict[str, str]) -> str | None:
        """The currency named beside an amount, else in its header, else for the whole row, else for the file."""
        return values.get(f"{column} currency") or self.currencies[column] or values.get("currency") or self._money


def _settled(
    said: dict[str, Any], values: dict[str, str], problems: list[CellProblem]
) -> tuple[PartCells, list[CellProblem]]:
    """The row as a whole: cells that only mean something together."""
    for name in _NAMES:
        if name in said and not fold(said[name]):
            del said[name]
    seal = said.get("seal")
    if seal and "seal_state" not in said and (found := word_meant("seal state", seal)) in STATES:
        del said["seal"]
        said["seal_state"] = found
    elif seal and "seal state" not in values:
        problems.append(
            CellProblem("seal", seal, "does not say how the seal was found", f"one of: {', '.join(STATES)}")
        )
    return PartCells(**said), problems
