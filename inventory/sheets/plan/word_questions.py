"""The questions about cells that cannot be read: one for each word of a column, or one for the whole file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from inventory.facts.declare import Value
from inventory.reference.data import Reference
from inventory.seals.states import STATES
from inventory.sheets.columns.catalogue import PARTS, words, words_near
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.columns.questions import ABOVE, ADD, AS_TEXT, CARS, EACH, Choice, SheetQuestion, key_of
from inventory.sheets.plan.part_cells import READERS
from inventory.sheets.plan.part_columns import DOUBTFUL, MOVED, word_key
from inventory.sheets.plan.part_reader import FILLED
from inventory.sheets.plan.problems import CellProblem, Problem
from inventory.sheets.plan.rows import PlanRow
from inventory.store.words.nothing import nothing_in

__all__ = ["NO_KIND", "WordQuestions"]

#: The code of the problem that a new part has no kind.
NO_KIND = "no-kind"
#: The code of the problem that a car is not on record; of so many that are like none on record each is asked about.
UNKNOWN_CAR = "unknown-car"
_FEW_CARS, _FEW_NAMES = 2, 3
#: How many near words are offered, and of how many words of a column all are.
_NEAR, _FEW = 4, 7
#: What is asked once for the whole file, by the code of the problem: the key, the question, the answers.
_WHOLE_FILE = {
    "amount-without-currency": ("currency", "amounts have no currency", ()),
    "thousand-or-decimal": (
        "decimal",
        "amounts such as {} can be read in two ways",
        (Choice("comma", "the comma is the decimal mark"), Choice("point", "the point is the decimal mark")),
    ),
    "day-or-month": (
        "dates",
        "days such as {} can be read in two ways",
        (Choice("day-first", "the day is first"), Choice("month-first", "the month is first")),
    ),
    "day-number": (
        "day numbers",
        "days stand as numbers, such as {}",
        (Choice("1900", "counted from 1900, as usual"), Choice("1904", "counted from 1904")),
    ),
}
_KEEP = Choice(AS_TEXT, "keep as text")
_FROM_ABOVE = Choice(ABOVE, "take it from the row above")
_SAYS_NOTHING = (Choice("not known", "not known"), Choice("none", "none"))
#: The lists of words of columns that have another name.
_LISTS = {"value basis": "basis", "match code read from": "read from"}
_WITH_FIGURES = frozenset({*PARTS.amounts, *PARTS.days, "seal"})


@dataclass
class _Open:
    """A question that is being collected: the first cell, its header, why rows may have moved, and the rows."""

    column: str
    text: str
    header: str
    code: str
    rearranged: str
    rows: list[tuple[str, int]] = field(default_factory=list)


class WordQuestions:
    """Collects the cells that cannot be read, and asks about each word of a column once."""

    def __init__(
        self, reference: Reference, cars_near: Callable[[str], list[str]], said: Mapping[str, str] | None = None
    ) -> None:
        """`cars_near`: the cars on record that a name may mean. `said`: answers by key."""
        self._reference, self._cars_near, self._said = reference, cars_near, said or {}
        self._found: dict[str, _Open] = {}

    def take(self, row: PlanRow) -> None:
        """Note the cells of a row that are kept as text, and go in."""
        for problem in row.unread:
            self.add(row.sheet, row.row.number, problem)

    def add(self, sheet: SheetLayout, row: int, problem: CellProblem | Problem) -> None:
        """Note one cell."""
        column, text = problem.column, problem.value
        if problem.code == NO_KIND and "kind" not in sheet.columns:
            return  # asked about the whole table, or what its titles mean
        if problem.code == DOUBTFUL and column not in FILLED | {"serial", "match code"}:
            return  # not known or none: it says nothing either way
        if problem.code == MOVED:
            key = key_of("sorted", sheet.name)
        elif problem.code in _WHOLE_FILE:
            key = _WHOLE_FILE[problem.code][0]
        elif column == "position" or (column in _WITH_FIGURES and any(map(str.isdigit, text))):
            return  # each is another one: kept as text, and mended in the sheet
        elif column == "seal" and "seal state" in sheet.columns:
            return  # it names the seal, and the state beside it is empty
        else:
            key = word_key(column, text)
        if key not in self._found:
            header = next((each.header for each in sheet.headings if each.column == column), column)
            self._found[key] = _Open(column, text, header, problem.code, sheet.rearranged)
        place = (sheet.name, row)
        if place not in self._found[key].rows[-1:]:
            self._found[key].rows.append(place)

    def questions(self) -> Iterator[SheetQuestion]:
        """A question for each word, and for each problem of the whole file."""
        together = self._new_cars()
        if together:
            names = [self._found[key].text for key in together]
            first = ", ".join(f'"{name}"' for name in names[:_FEW_NAMES])
            more = f" and {len(names) - _FEW_NAMES} more" if names[_FEW_NAMES:] else ""
            at = tuple(dict.fromkeys(place for key in together for place in self._found[key].rows))
            every = (Choice(ADD, "add them all"), Choice(EACH, "ask about each"), _KEEP)
            yield SheetQuestion(
                key_of(CARS, *names), f"{len(names)} cars not on record: {first}{more}", every, at, AS_TEXT
            )
        for key, each in self._found.items():
            if key in together:
                continue
            rows = tuple(each.rows)
            if each.code == MOVED:
                says = f'"{each.text}" under {each.header} and words like it: {each.rearranged}, so rows may have moved'
                yield SheetQuestion(key, says, (_FROM_ABOVE, _KEEP), rows, AS_TEXT)
                continue
            if each.code in _WHOLE_FILE:
                _, says, choices = _WHOLE_FILE[each.code]
                choices = choices or tuple(Choice(code, code) for code in words("currencies")[:_FEW])
                typed = "value currency" if key == "currency" else ""
                says = says.format(f'"{each.text}"')
                yield SheetQuestion(key, says, (*choices, _KEEP), rows, AS_TEXT, typed)
                continue
            says = f'"{each.text}" under {each.header}' if each.text else f"nothing under {each.header}"
            yield SheetQuestion(key, says, tuple(self._choices(each)), rows, self._taken(each), each.column)

    def _new_cars(self) -> list[str]:
        """The keys of the questions about cars that are like none on record, if they are so many that one is asked."""
        apart = {name for key, answer in self._said.items() if answer == EACH for name in key.split("/")[1:]}
        new = [
            key
            for key, each in self._found.items()
            if each.column == "car" and each.code == UNKNOWN_CAR and key not in self._said
            if key.removeprefix(word_key("car", "")) not in apart and not self._cars_near(each.text)
        ]
        return new if len(new) > _FEW_CARS else []

    def _taken(self, each: _Open) -> str:
        if each.column == "kind":
            return "other"
        return "not known" if each.code == DOUBTFUL and each.column != "match code" else AS_TEXT

    def _choices(self, each: _Open) -> Iterator[Choice]:
        """The answers offered: near words of the column, then what says nothing, then as text."""
        nothing = nothing_in(each.text)
        if each.column in FILLED and nothing == "doubtful":
            yield Choice(ABOVE, "as above")
        if each.column == "car":
            yield from (Choice(name, name) for name in self._cars_near(each.text)[:_NEAR])
            if each.code == UNKNOWN_CAR:
                yield Choice(ADD, "add this car")
        says = "category {}" if each.column == "condition" else "{}"
        yield from (Choice(word, says.format(word)) for word in self._near(each) if word != "other")
        if each.column == "kind":
            yield Choice("other", "other")
        else:
            yield from _SAYS_NOTHING
            yield _KEEP

    def _near(self, each: _Open) -> list[str]:
        if each.column == "condition":
            return ["0", "1", "2", "3"]
        if each.column == "seal":
            return list(STATES)
        value = READERS.get(each.column)
        if not isinstance(value, Value):
            return []
        every = value.words(self._reference)
        near = [word for word in words_near(each.column, each.text) if word in every][:_NEAR]
        return (
            near
            if len(every) > _FEW
            else [*near, *(word for word in every if word not in near and word != "not known")]
        )
