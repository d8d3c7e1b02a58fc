"""What a row of the sheet of parts says, and how its single cells are read. `part_reader` reads whole columns."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from inventory.errors import Refused
from inventory.facts.declare import Value
from inventory.parts import tags
from inventory.parts.markings import CODE_STATES
from inventory.sheets.columns.catalogue import PARTS, word_meant
from inventory.sheets.columns.leaving import Leaving
from inventory.store.days.dates import When
from inventory.store.words.nothing import nothing_in, what_is_meant
from inventory.store.words.text import alike, fold, short_enough

__all__ = [
    "ANOTHER",
    "EMPTIED",
    "FROM_ITSELF",
    "READERS",
    "PartCells",
    "Serial",
    "no_serial",
    "read_code",
    "read_own_number",
    "read_serial",
]

#: In the column `tag`: the row is a separate part, even if a part without a serial could be it.
ANOTHER = "new"
#: In the column `match code read from`: the code was read from the part itself.
FROM_ITSELF = "part"
#: Why there is no serial, by what a word in its cell says.
_NO_SERIAL = {"not legible": "not legible", "none": "none on it", "none on it": "none on it"}
#: A text of fewer characters is short enough to be looked up by: no character folds to more than 33 bytes.
_SURELY_SHORT = 50


@dataclass(slots=True)
class PartCells:
    """The values of a row about a part; None: empty. `another`: the user says that it is a separate part.

    `serial_state` is why there is no serial; `match_code` is the code and its state; `price` and `value` are digits and
    currency. `serial_key`, `serial_alike` and `number_key` are serial and part number as they are compared. `unread`:
    by column the text of a cell that is kept because it cannot be read; `headers`: by column the header of the sheet.
    `as_written`: by column the word in whose place something else counts (the row above, an answer).
    `kind_word`: the text of a kind that is no word for one; somebody may have said which it is. `own_number` is the
    keeper's own, `given_in` its header; `counted` are cells that only count the rows; `left` is how the part left, as a
    cell says.
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
    seen_by: str | None = None
    seen_on: When | None = None
    extra: dict[str, str] = field(default_factory=dict)
    serial_key: str = ""
    serial_alike: str = ""
    number_key: str = ""
    serial_state: str | None = None
    unread: Mapping[str, str] = field(default_factory=dict)
    headers: Mapping[str, str] = field(default_factory=dict)
    kind_word: str = ""
    as_written: Mapping[str, str] = field(default_factory=dict)
    own_number: str | None = None
    given_in: str | None = None
    counted: dict[str, str] = field(default_factory=dict)
    left: Leaving | None = None

    def __post_init__(self) -> None:
        if self.serial and not self.serial_key:
            self.serial_key, self.serial_alike = fold(self.serial), alike(self.serial)
        if self.part_number and not self.number_key:
            self.number_key = fold(self.part_number)

    @property
    def look(self) -> tuple[str, When] | None:
        """Who looked and on which day, if the row says both."""
        return (self.seen_by, self.seen_on) if self.seen_by and self.seen_on else None

    @property
    def acquired(self) -> bool:
        """Whether the row says anything about how the part came."""
        return bool(self.acquired_on or self.acquired_from or self.price)


class Serial(NamedTuple):
    """A serial as written, and as it is compared; `state`: why there is none."""

    text: str | None
    key: str
    alike: str
    state: str | None = None


def _short(what: str, text: str) -> str:
    """A clean text, unless it is too long to be looked up by; only texts that might be are measured."""
    return text if len(text) < _SURELY_SHORT else short_enough(what, text)


def no_serial(text: str, language: str = "") -> str | None:
    """Why there is no serial ("not legible", "none on it"), if a text says so; None for any other text."""
    if word_meant("code state", text.casefold()) == "unreadable":
        return "not legible"
    return _NO_SERIAL.get(nothing_in(text, language) or text.casefold())


def read_serial(text: str, language: str = "") -> Serial | None:
    """A serial, or why there is none; None if the text is neither."""
    if state := no_serial(text, language):
        return Serial(None, "", "", state)
    written = _short("serial", text)
    return Serial(written, key, alike(written)) if (key := fold(written)) else None


def _number(text: str) -> tuple[str, str] | None:
    written = _short("part number", text)
    return (written, key) if (key := fold(written)) else None


def _name(what: str) -> Callable[[str], str | None]:
    """A reader of names; a name without letters or digits is nothing."""

    def read(text: str) -> str | None:
        name = _short(what, text)
        return name if fold(name) else None

    return read


def _car(text: str) -> str | None:
    return text if fold(text) else None


def _tag(text: str) -> str:
    return ANOTHER if text.casefold() == ANOTHER else tags.parse(text)


def read_own_number(text: str) -> tuple[str | None, str | None] | None:
    """A number of the keeper's own, or a label of ours that stands in its place: (number, tag); None for neither."""
    if tags.is_tag(text):
        return None, tags.parse(text)
    written = _short("own number", text)
    return (written, None) if fold(written) else None


def read_code(text: str, language: str = "") -> tuple[str | None, str] | None:
    """A match code, or the word for why there is none; None if the text is neither."""
    word = word_meant("code state", text.casefold())
    if word in CODE_STATES and word != "read":
        return None, word
    code, state = what_is_meant(text, language)
    return (code, state) if state else None


def _condition(text: str) -> str:
    if text not in ("0", "1", "2", "3"):
        raise Refused("condition-category", f'the condition must be 0, 1, 2 or 3, not "{text}"')
    return text


#: The columns in which a word for nothing ("unknown", "none", "ditto") leaves the cell empty.
EMPTIED = frozenset(
    {
        *("own number", "maker", "part number", "date code", "condition", "car", "position", "place", "acquired from"),
        *("seal", "seen by"),
    }
)

#: How the cells of a column are read, in the order in which problems are reported; declared values read themselves.
#: Days and amounts are not among them.
READERS: dict[str, Callable[[str], Any] | Value] = {
    "tag": _tag,
    "own number": read_own_number,
    "kind": PARTS.values["kind"],
    "maker": str,
    "part number": _number,
    "serial": read_serial,
    "date code": str,
    "match code": read_code,
    "match code read from": PARTS.values["match code read from"],
    "marks": str,
    "seal": str.casefold,
    "seal state": PARTS.values["seal state"],
    "condition": _condition,
    "car": _car,
    "position": _name("name of the position"),
    "place": _name("name of the place"),
    "whose": PARTS.values["whose"],
    "acquired from": _name("name"),
    "value basis": PARTS.values["value basis"],
    "notes": str,
    "seen by": _name("name"),
}
