"""The texts of one column of a sheet of parts: each is read once, however often it occurs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from inventory.errors import Refused
from inventory.sheets.columns.catalogue import PARTS
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.cells import CUT_BEFORE, amount_of, cleaned
from inventory.sheets.columns.questions import ADD, AS_TEXT, key_of
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import CUT

__all__ = ["DOUBTFUL", "MOVED", "TextColumn", "TextsOfAmounts", "word_key"]

#: The code of the problem of a word that may mean not known, none or as above.
DOUBTFUL = "doubtful-word"
#: The code of the problem of a word for "as above" in rows that may have been sorted since it was written.
MOVED = "as-above-moved"
#: Answers that say that a word says nothing.
_NOTHING = frozenset({"not known", "none"})
_AMOUNTS_AND_DAYS = frozenset({*PARTS.amounts, *PARTS.days})
#: How many texts of a known column are remembered.
_MOST_KEPT = 10_000


def word_key(column: str, text: str) -> str:
    """The key of the question what a text in a column means."""
    return key_of("word", column, text)


class TextColumn(dict[str, Any]):
    """The values of the texts of one column. Each text is read once, however often it occurs."""

    def __init__(
        self,
        name: str,
        read: Callable[[str], Any] = str,
        most_kept: int = _MOST_KEPT,
        *,
        said: Mapping[str, str] | None = None,
        language: str = "",
        lines: bool = False,
    ) -> None:
        """`read` gets a text without control characters and outer blanks; what it refuses is a problem of the cell.

        `said`: answers by the key of the question; one for a text is read in its place. `lines`: line
        breaks stay.
        """
        super().__init__()
        self.name, self.read, self.most_kept, self.language = name, read, most_kept, language
        self.said, self.lines = said or {}, lines
        self.problems: dict[str, CellProblem] = {}
        self.with_controls: set[str] = set()
        #: Gives the sentence on a word that says nothing in this column, "" for any other text.
        self.emptied: Callable[[str], str] | None = None
        self.set_aside: dict[str, str] = {}
        self.answered: dict[str, str] = {}
        #: Words that may mean not known, none or as above, and were left empty.
        self.doubtful: dict[str, CellProblem] = {}

    def __missing__(self, text: str) -> Any:
        kept, controls = cleaned(text, lines=self.lines)
        if controls:
            self.with_controls.add(text)
        value = None
        if kept.endswith(CUT):
            self.set_aside[text], kept = CUT_BEFORE, ""
        answer = self.said.get(word_key(self.name, kept), "") if self.said and kept else ""
        adds = answer == ADD and self.name == "car"
        meant = str(kept) if adds or answer in ("", AS_TEXT) else answer
        if answer and answer != AS_TEXT:
            self.answered[text] = str(kept)
        if answer == AS_TEXT:
            self.problems[text] = CellProblem(self.name, kept, "is kept as text, as you said", code=AS_TEXT)
        elif meant and (says := self._nothing(meant)):
            self.set_aside[text] = says if meant == kept else f'{says} (you said so of "{kept}")'
            if nothing_in(meant, self.language) == "doubtful":
                self.doubtful[text] = CellProblem(self.name, kept, "may mean not known, none or as above", "", DOUBTFUL)
        if meant and text not in self.problems and (text not in self.set_aside or self.name == "match code"):
            try:
                value = self.read(meant)
            except Refused as refusal:
                if answer not in _NOTHING:
                    self.problems[text] = problem_of(refusal, self.name, kept)
        if len(self) >= self.most_kept:
            self.clear()
        self[text] = value
        return value

    def _nothing(self, text: str) -> str:
        """The sentence on a word that says nothing. Of a day or an amount a doubtful word ("n/c") is kept as text."""
        if self.emptied is None:
            return ""
        is_word = self.name in _AMOUNTS_AND_DAYS and any(map(str.isalpha, text))
        return "" if is_word and nothing_in(text, self.language) == "doubtful" else self.emptied(text)


class TextsOfAmounts(dict[tuple[type, str, str | None], Any]):
    """The amounts of one column by type, text and currency: a number of the file is read differently from its text."""

    def __init__(self, name: str, cell_format: CellFormat) -> None:
        super().__init__()
        self.name, self.cell_format = name, cell_format
        self.problems: dict[tuple[type, str, str | None], CellProblem] = {}

    def __missing__(self, key: tuple[type, str, str | None]) -> Any:
        _, text, currency = key
        value = None
        try:
            value = amount_of(text, currency, self.cell_format)
        except Refused as refusal:
            self.problems[key] = problem_of(refusal, self.name, text)
        if len(self) >= _MOST_KEPT:
            self.clear()
        self[key] = value
        return value
