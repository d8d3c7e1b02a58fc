"""The form in which a subject declares its kinds of fact and of thing. Plain values; nothing here asks a record.

What a fact says is held in two shapes. Its *columns* are those of its table: keys of other things, canonical JSON. Its
*values* are what people see and type: names in place of keys (`place` for `place_id`), lists and mappings in place of
JSON. A `Value` reads and shows values; `FactKind.settle` checks columns.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any, TypeAlias

from inventory.errors import Refused, UnknownName
from inventory.reference.data import Reference
from inventory.store.names import nearest
from inventory.store.text import clean

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.facts import Act
    from inventory.store.tables import Base

__all__ = [
    "FROM_A_SHEET",
    "Cell",
    "Declared",
    "FactKind",
    "Section",
    "Sheet",
    "ThingKind",
    "Told",
    "Value",
    "Values",
    "declared",
    "one_by_one",
]

#: How a fact from a sheet is known if nothing says so.
FROM_A_SHEET = "from a sheet"
#: What a fact says, by name: names in place of keys, lists and mappings in place of JSON.
Values: TypeAlias = Mapping[str, Any]


def _as_typed(_column: str, text: str) -> str:
    return text


def _none_near(_column: str, _text: str) -> list[str]:
    return []


def _amount_as_typed(text: str, currency: str | None) -> tuple[str, str | None]:
    return clean(text), currency


def _no_words(_reference: Reference) -> tuple[str, ...]:
    return ()


@dataclass(frozen=True)
class Cell:
    """What a text is read with besides itself: at a command as here by default, from a sheet in the sheet's ways.

    `meant` gives the program's word for what people write in a column, `near` its words that are spelled nearly so;
    `amount` gives digits and currency of an amount, `currency` being the one that stands beside it or over it.
    """

    today: date
    reference: Reference
    meant: Callable[[str, str], str] = _as_typed
    near: Callable[[str, str], list[str]] = _none_near
    amount: Callable[[str, str | None], tuple[str, str | None]] = _amount_as_typed
    currency: str | None = None


@dataclass(frozen=True, eq=False)
class Value:
    """One value of a fact, under the name that people type and that heads its column in a sheet.

    `read` gives the values that a text stands for, and refuses what it cannot read; `show` gives the text again, "" for
    nothing: `read(show(values))` says the same. `same` tells whether two facts say the same here. `examples` are texts
    that can be read. `refers`: the kind of thing that the text names. `beside`: the value whose unit this one is (a
    currency): it is read with it, never alone. `words`: those that it is one of, where it is one of a few. `help`: what
    it means, in a sentence. `headings`: what else people write over its column in a sheet.
    """

    name: str
    read: Callable[[str, Cell], dict[str, Any]]
    show: Callable[[Values], str]
    same: Callable[[Values, Values], bool]
    examples: tuple[str, ...]
    needed: bool = False
    refers: str = ""
    beside: str = ""
    words: Callable[[Reference], tuple[str, ...]] = _no_words
    help: str = ""
    headings: tuple[str, ...] = ()


@dataclass
class Told:
    """What is about to be said of a thing: checked by `FactKind.settle`, which may change `columns`.

    `columns`: all that are particular to the table. `named`: those in which a thing is named that may not be on record
    yet, so that they hold no key: its table and the name. `on`, `counts_from`: the day, EDTF and ISO. `old`: the row
    whose place it takes. `thing`: the columns of the thing it is told of, where the record does not say so yet.
    `beside`: rows that are written with it. `how_known`: how it is known by what it says, unless said. `refused`: why
    it cannot stand.
    """

    thing_id: int
    columns: dict[str, Any]
    on: str
    counts_from: str
    old: Any = None
    named: dict[str, tuple[str, str]] = field(default_factory=dict)
    thing: Mapping[str, Any] | None = None
    beside: list[Base] = field(default_factory=list)
    how_known: str = ""
    refused: Refused | None = None


Settle: TypeAlias = "Callable[[Session, Sequence[Told]], None]"


def one_by_one(check: Callable[[Session, Told], None]) -> Settle:
    """A way to settle facts that looks at each by itself. `check` changes its columns, or raises `Refused`."""

    def settle(session: Session, every: Sequence[Told]) -> None:
        for told in every:
            try:
                check(session, told)
            except Refused as refusal:
                told.refused = refusal

    return settle


def _as_it_is(_session: Session, _every: Sequence[Told]) -> None:
    """Whatever could be read can stand."""


def _may_go(_session: Session, _rows: Sequence[Any]) -> None:
    """Facts of most kinds can be taken back."""


def _none_stays(_session: Session, _rows: Sequence[Any]) -> set[int]:
    return set()


def _says_all(values: Values) -> str:
    said = [(name, value) for name, value in values.items() if value not in (None, "", {}, [])]
    return "; ".join(f"{name.replace('_', ' ')} {value}" for name, value in said)


def _no_more(_values: Values) -> tuple[Value, ...]:
    return ()


@dataclass(frozen=True, eq=False)
class Section:
    """Where facts stand on a card: the key of their list in JSON, their title at the command.

    `heading`: the section of the browser's card that lists them, "" where it shows them only in its log. One that the
    card does not have by itself is a section of its own.
    """

    key: str
    title: str
    heading: str = ""


@dataclass(frozen=True, eq=False)
class Sheet:
    """The sheet of a kind of fact: its name, its columns in order, those that tell a table is one, and what it asks.

    `columns` are names of values, with `on` and `how known` where wanted. `recognised_by`: headers by which a single
    table is taken for it. `if_empty`: texts that are meant where a new row leaves a column empty. `how_known`: unless
    the row or the fact itself says.
    """

    name: str
    columns: tuple[str, ...]
    recognised_by: frozenset[str]
    if_empty: Mapping[str, str] = field(default_factory=dict)
    how_known: str = FROM_A_SHEET


@dataclass(frozen=True, eq=False)
class FactKind:
    """One kind of fact, declared once: everything that a door needs to know of it.

    `word`: what people call it; `about`: the kinds of thing it is told of. `values`: what can be said and corrected;
    `more`: what can be corrected besides, by what a fact says (the readings of a run). `settle`: see `Told`. `says`:
    the fact in a line of words. `for_now`: the name under which it is handed to the judgement of what a thing is now.
    `searched`: the columns whose texts a search for parts finds. `shows_part`: how a row shows that somebody had the
    part before them, "" where it does not; None for a kind that never does. `fixed`: why such facts are not corrected,
    and what to do instead. `may_go`: refuses to take rows back. `stays`: the keys of those that are all that names
    their thing. `holds`: refuses what must not be once such facts are written. `how_known`: unless said.
    """

    table: type[Any]
    word: str
    about: tuple[str, ...]
    values: tuple[Value, ...] = ()
    more: Callable[[Values], tuple[Value, ...]] = _no_more
    settle: Settle = _as_it_is
    says: Callable[[Values], str] = _says_all
    section: Section | None = None
    sheet: Sheet | None = None
    for_now: str = ""
    searched: tuple[str, ...] = ()
    shows_part: Callable[[Any], str] | None = None
    fixed: tuple[str, str] | None = None
    may_go: Callable[[Session, Sequence[Any]], None] = _may_go
    stays: Callable[[Session, Sequence[Any]], set[int]] = _none_stays
    holds: Callable[[Session], None] | None = None
    how_known: str = "seen"

    @property
    def name(self) -> str:
        """The name of its table: what stands before the dash in a fact's id."""
        return str(self.table.__tablename__)

    def value(self, typed: str, values: Values) -> Value:
        """The value of this name, typed with blanks, dashes or underscores; an unknown one is refused."""
        known = {each.name: each for each in (*self.values, *self.more(values))}
        plain = " ".join(typed.casefold().split())
        for name in (plain, _plain(typed)):
            if name in known:
                return known[name]
        raise UnknownName("value to correct", typed, nearest(plain, list(known)), known=tuple(known), shown="value")


def _no_columns(_facts: Mapping[str, Sequence[Any]]) -> dict[str, Any]:
    return {}


@dataclass(frozen=True, eq=False)
class ThingKind:
    """A kind of thing: its table, how one is found by what is typed, what it is called.

    `find` gives the key of what a text names, or refuses; the columns settled so far stand beside it (a position is
    found on its car). `names` gives the names of some things by key. `now`: the columns of its row that are kept from
    its facts, from the standing ones by `FactKind.for_now`, oldest first. `search`: the text by which it is found, from
    the columns of its row, the names behind those that hold keys, and what was remarked of it.
    """

    word: str
    table: type[Any]
    find: Callable[[Session, str, Mapping[str, Any]], int]
    names: Callable[[Session, Iterable[int]], dict[int, str]]
    now: Callable[[Mapping[str, Sequence[Any]]], dict[str, Any]] = _no_columns
    search: Callable[[Mapping[str, Any], Mapping[str, str], Sequence[str]], str] | None = None

    @property
    def name(self) -> str:
        """The name of its table."""
        return str(self.table.__tablename__)


def _plain(word: str) -> str:
    """A word as it is compared: blanks, dashes and underscores are one."""
    return " ".join(word.casefold().replace("_", " ").replace("-", " ").split())


@dataclass(frozen=True, eq=False)
class Declared:
    """Every kind of thing and of fact there is, put together once and handed to each session.

    `begin_act` begins what a person does: session, what, by whom, the keys of the things it will tell of. `known_hand`
    gives the key of whoever writes, by name.
    """

    things: tuple[ThingKind, ...]
    facts: tuple[FactKind, ...]
    begin_act: Callable[..., Act]
    known_hand: Callable[[Session, str], int | None]
    _by_table: Mapping[str, FactKind] = field(init=False, repr=False)
    _things_by_table: Mapping[str, ThingKind] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_by_table", {each.name: each for each in self.facts})
        object.__setattr__(self, "_things_by_table", {each.name: each for each in self.things})

    def fact(self, table: Any) -> FactKind:
        """The kind of the facts of a table, or of its name."""
        return self._by_table[table if isinstance(table, str) else table.__tablename__]

    def is_fact(self, table: str) -> bool:
        """Whether a table of this name holds facts."""
        return table in self._by_table

    def table(self, name: str) -> type[Any] | None:
        """The table of facts of this name, if there is one."""
        return self._by_table[name].table if name in self._by_table else None

    def thing(self, table: Any) -> ThingKind:
        """The kind of the things of a table, or of its name."""
        return self._things_by_table[table if isinstance(table, str) else table.__tablename__]

    def is_thing(self, table: str) -> bool:
        """Whether a table of this name holds things."""
        return table in self._things_by_table

    def called(self, word: str) -> FactKind:
        """The kind of fact that people call so; an unknown one is refused with the nearest."""
        plain = _plain(word)
        for each in self.facts:
            if plain in (_plain(each.word), _plain(each.name)):
                return each
        words = [each.word for each in self.facts]
        raise UnknownName("kind of fact", word, nearest(plain, words), known=tuple(words))

    def about(self, thing: str) -> tuple[FactKind, ...]:
        """The kinds of fact that are told of a kind of thing, in the order of a card."""
        return tuple(each for each in self.facts if thing in each.about)


def declared(session: Session) -> Declared:
    """What the record of a session was opened with. It is put together when it is first asked for."""
    found: Declared = session.info["declared"]()
    return found
