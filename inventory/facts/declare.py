"""How a subject declares its kinds of facts and things: plain values, without access to a record.

A fact has two forms. Its *columns* are those of its table: keys of other things, canonical JSON. Its *values* are what
people see and type: names instead of keys (`place` for `place_id`), lists and mappings instead of JSON. A `Value`
reads and shows values; `FactKind.validate` checks columns.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from inventory.errors import Refused, UnknownName
from inventory.reference.data import Reference
from inventory.store.words.names import nearest
from inventory.store.words.text import clean

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.facts import Act
    from inventory.store.tables import Base

__all__ = [
    "Cell",
    "Declared",
    "FactDraft",
    "FactKind",
    "Section",
    "Sheet",
    "ThingKind",
    "Value",
    "Values",
    "declared",
    "one_by_one",
]

#: The values of a fact by name: names instead of keys, lists and mappings instead of JSON.
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
    """The context for reading a text. The defaults are for commands; sheets have their own functions.

    `meant` returns the program's word for what people write in a column, `near` its words with a similar spelling.
    `amount` splits an amount into digits and currency; `currency`: the one in the next column or in the header.
    """

    today: date
    reference: Reference
    meant: Callable[[str, str], str] = _as_typed
    near: Callable[[str, str], list[str]] = _none_near
    amount: Callable[[str, str | None], tuple[str, str | None]] = _amount_as_typed
    currency: str | None = None


@dataclass(frozen=True, eq=False)
class Value:
    """One value of a fact, under the name that people type and that is the header of its column in a sheet.

    `read` turns a text into values and raises `Refused` if it cannot; `show` turns them into the text ("" for none), so
    that `read(show(values))` is the same. `same`: whether two facts agree in this value. `examples`: texts that can be
    read. `refers`: the kind of thing that the text names. `beside`: the amount whose currency this is; it is read with
    the amount, never alone. `words`: the words it can be, if they are a few. `help`: what it means, in a sentence.
    `headings`: other headers that people use for its column. `is_name`: a word for nothing is no value of it. `meant`:
    the name on record that a typed one means, of a thing by its key; raises `NearName`. `free`: any text can be one.
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
    is_name: bool = False
    meant: Callable[[Session, int, str], str] | None = None
    free: bool = False


@dataclass
class FactDraft:
    """A fact before it is written. `FactKind.validate` checks it and may change its columns.

    `columns`: those of its own table. `named`: columns without a key because their thing may not be on record yet, each
    with the table and name of the thing. `on`, `counts_from`: the day, EDTF and ISO. `old`: the row it replaces.
    `thing`: the columns of the thing it is about, if they are not on record yet. `beside`: rows to write with it.
    `how_known`: how it is known if nobody said. `refused`: why it cannot be written.
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


Validate: TypeAlias = "Callable[[Session, Sequence[FactDraft]], None]"


def one_by_one(check: Callable[[Session, FactDraft], None]) -> Validate:
    """Make a `validate` function that checks each draft by itself. `check` may change columns or raise `Refused`."""

    def validate(session: Session, every: Sequence[FactDraft]) -> None:
        for draft in every:
            try:
                check(session, draft)
            except Refused as refusal:
                draft.refused = refusal

    return validate


def _accept_all(_session: Session, _every: Sequence[FactDraft]) -> None:
    """Accept every draft."""


def _accept_withdrawal(_session: Session, _rows: Sequence[Any]) -> None:
    """Accept every withdrawal."""


def _no_only_names(_session: Session, _rows: Sequence[Any]) -> set[int]:
    return set()


def _says_all(values: Values) -> str:
    filled = [(name, value) for name, value in values.items() if value not in (None, "", {}, [])]
    return "; ".join(f"{name.replace('_', ' ')} {value}" for name, value in filled)


def _no_further_values(_values: Values) -> tuple[Value, ...]:
    return ()


@dataclass(frozen=True, eq=False)
class Section:
    """A section of a card: the key of its list in JSON, its title on the command line.

    `heading`: the section of the browser's card; "" if the card shows the facts only in its log. A heading that the
    card does not have makes a new section.
    """

    key: str
    title: str
    heading: str = ""


@dataclass(frozen=True, eq=False)
class Sheet:
    """The sheet of a kind of fact: its name and its columns in order.

    `columns` are names of values, and `on` and `how known` if wanted. `recognised_by`: the columns by which a table is
    recognised as this sheet. `if_empty`: the text meant by an empty cell of a new row. `looked`: how a row is known
    that names who looked and on which day.
    """

    name: str
    columns: tuple[str, ...]
    recognised_by: frozenset[str]
    if_empty: Mapping[str, str] = field(default_factory=dict)
    looked: str = "seen"


@dataclass(frozen=True, eq=False)
class FactKind:
    """One kind of fact, declared once for all doors.

    `word`: its name for people; `about`: the kinds of thing it can be about. `values`: its values; `more_values`:
    further values that depend on the fact (the readings of a run). `validate`: checks drafts, see `FactDraft`. `says`:
    the fact in one line. `row_input`: its name among the inputs of `ThingKind.compute_row`. `searched`: columns that a
    search for parts finds; of `searched_whole` words of one or two characters find the whole value too, with its name
    before it ("bag 7"). `seen_how`: how a row that is our own (`how_known.is_own`) shows that the part was seen, ""
    if it does not; None if no row of this kind does. `not_correctable`: why such facts cannot be corrected, and what to
    do instead. `check_withdrawal`: raises `Refused` for rows that cannot be taken back. `only_names`: the keys of rows
    that are the only name of their thing. `check_record`: raises `Refused` if the record is inconsistent after such
    facts are written. `how_known`: the default. `travels`: how such a fact of a part goes into its passport and comes
    in elsewhere: "as such"; "in words" (it names cars or whose the part was: there it becomes a remark); or "no"
    (values, shelves, papers, what is only of use here).
    """

    table: type[Any]
    word: str
    about: tuple[str, ...]
    values: tuple[Value, ...] = ()
    more_values: Callable[[Values], tuple[Value, ...]] = _no_further_values
    validate: Validate = _accept_all
    says: Callable[[Values], str] = _says_all
    section: Section | None = None
    sheet: Sheet | None = None
    row_input: str = ""
    searched: tuple[str, ...] = ()
    searched_whole: tuple[str, ...] = ()
    seen_how: Callable[[Any], str] | None = None
    not_correctable: tuple[str, str] | None = None
    check_withdrawal: Callable[[Session, Sequence[Any]], None] = _accept_withdrawal
    only_names: Callable[[Session, Sequence[Any]], set[int]] = _no_only_names
    check_record: Callable[[Session], None] | None = None
    how_known: str = "seen"
    travels: Literal["as such", "in words", "no"] = "in words"

    @property
    def name(self) -> str:
        """The name of its table: the part of a fact's id before the dash."""
        return str(self.table.__tablename__)

    def value(self, typed: str, values: Values) -> Value:
        """The value with this name (blanks, dashes and underscores are equal). Raises `UnknownName`."""
        known = {each.name: each for each in (*self.values, *self.more_values(values))}
        plain = " ".join(typed.casefold().split())
        for name in (plain, _plain(typed)):
            if name in known:
                return known[name]
        raise UnknownName("value to correct", typed, nearest(plain, list(known)), known=tuple(known), shown="value")


def _no_columns(_facts: Mapping[str, Sequence[Any]], _held: Mapping[str, Any]) -> dict[str, Any]:
    return {}


@dataclass(frozen=True, eq=False)
class ThingKind:
    """A kind of thing: its table, how things are found and named.

    `find` returns the key of the thing that a text names, or raises `Refused`; it also gets the draft's columns (a
    position is found on its car). `names` returns names by key. `compute_row` computes the columns of its row from its
    facts, which are given by `FactKind.row_input`, oldest first, and the columns that the row holds. `search` makes
    its search text from the columns of its row, the names behind keys, remarks, and texts found by short words too.
    """

    word: str
    table: type[Any]
    find: Callable[[Session, str, Mapping[str, Any]], int]
    names: Callable[[Session, Iterable[int]], dict[int, str]]
    compute_row: Callable[[Mapping[str, Sequence[Any]], Mapping[str, Any]], dict[str, Any]] = _no_columns
    search: Callable[[Mapping[str, Any], Mapping[str, str], Sequence[str], Sequence[str]], str] | None = None

    @property
    def name(self) -> str:
        """The name of its table."""
        return str(self.table.__tablename__)


def _plain(word: str) -> str:
    """A word for comparison: lower case; dashes and underscores become blanks."""
    return " ".join(word.casefold().replace("_", " ").replace("-", " ").split())


@dataclass(frozen=True, eq=False)
class Declared:
    """All kinds of things and facts; each session has them.

    `begin_act` begins an act: session, what, by whom, the keys of its things. `known_hand` returns the key of a person
    who writes, by name. `contradictions`: functions that give, of some parts by key or of all (None), what else does
    not fit on them in a state of the record (session, keys, state; `runs`: of all parts, if read already); from
    subjects that judge it themselves.
    """

    things: tuple[ThingKind, ...]
    facts: tuple[FactKind, ...]
    begin_act: Callable[..., Act]
    known_hand: Callable[[Session, str], int | None]
    contradictions: tuple[Callable[..., Mapping[int, tuple[Any, ...]]], ...] = ()
    _by_table: Mapping[str, FactKind] = field(init=False, repr=False)
    _things_by_table: Mapping[str, ThingKind] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_by_table", {each.name: each for each in self.facts})
        object.__setattr__(self, "_things_by_table", {each.name: each for each in self.things})

    def fact(self, table: Any) -> FactKind:
        """The kind of fact of a table or table name."""
        return self._by_table[table if isinstance(table, str) else table.__tablename__]

    def is_fact(self, table: str) -> bool:
        """Whether a table of this name holds facts."""
        return table in self._by_table

    def table(self, name: str) -> type[Any] | None:
        """The table of facts with this name, or None."""
        return self._by_table[name].table if name in self._by_table else None

    def thing(self, table: Any) -> ThingKind:
        """The kind of thing of a table or table name."""
        return self._things_by_table[table if isinstance(table, str) else table.__tablename__]

    def is_thing(self, table: str) -> bool:
        """Whether a table of this name holds things."""
        return table in self._things_by_table

    def called(self, word: str) -> FactKind:
        """The kind of fact with this word or table name. Raises `UnknownName` with the nearest words."""
        plain = _plain(word)
        for each in self.facts:
            if plain in (_plain(each.word), _plain(each.name)):
                return each
        words = [each.word for each in self.facts]
        raise UnknownName("kind of fact", word, nearest(plain, words), known=tuple(words))

    def about(self, thing: str) -> tuple[FactKind, ...]:
        """The kinds of fact about a kind of thing, in the order of the card."""
        return tuple(each for each in self.facts if thing in each.about)


def declared(session: Session) -> Declared:
    """The kinds of things and facts of a session; imported when first used."""
    found: Declared = session.info["declared"]()
    return found
