"""Today: what waits, first what could be lost; typing searches all parts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult
from textual.content import Content

from inventory.counting.write_draft import draft_of
from tui.data.copies import HOW_TO_COPY, copy_waits
from tui.data.find import Finds, PartLine, search
from tui.data.today import (
    AT_MOST,
    TodayLine,
    Waiting,
    first_starts,
    limits_beside,
    lists_overtaken,
    not_found,
    overdue,
    rows_to_mend,
    undecided_runs,
    values_old,
    waiting,
    what_does_not_fit,
)
from tui.questions import Question
from tui.safe import hanging, shown
from tui.screens import make_view
from tui.screens.find import part_line
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import counted, numbered

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.record import Record

__all__ = ["Today"]

_FINDS_SHOWN = 12
_EMPTY = (
    TodayLine("start", "Take a car apart", ""),
    TodayLine("got", "Enter a loose part: bought, found, lying on a shelf", ""),
    TodayLine("sheet", "Read in a sheet you keep already", ""),
    TodayLine("demo", "Look round the demo workshop (a separate record)", ""),
)
_DEMO = "To make the demo, leave and type: matchmark demo, then matchmark --record matchmark-demo/workshop.db"


@dataclass(frozen=True)
class _Line:
    """A line that cannot be opened."""

    text: Content


class Today(View):
    """The first screen."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._waiting: Waiting | None = None
        self._finds: Finds | None = None
        self._words = ""
        self._rows = RowList(self._draw, choosable=lambda row: not isinstance(row, _Line))

    def compose(self) -> ComposeResult:
        """One list."""
        yield self._rows

    def where(self) -> str:
        """The view's name."""
        return "Today"

    def question(self) -> Question:
        """A number opens a line, other text searches."""
        return Question("Number, search, or scan:")

    def help_text(self) -> tuple[str, ...]:
        """What this view shows."""
        return (
            "What waits for you, first what could be lost: unfinished answers, cars half taken apart, an old copy of "
            "the record, what does not fit on it, lists given out since when something was recorded, old values, "
            "undecided runs. A number and Enter opens a line. Any other text searches all parts.",
        )

    def part_tag(self) -> str | None:
        """The part of the chosen line."""
        item = self._rows.item
        of_part = isinstance(item, TodayLine) and item.opens == "part"
        return item.tag if isinstance(item, PartLine) else cast("TodayLine", item).of if of_part else None

    def record_back(self) -> None:
        """Read again what could not be read."""
        self.opened()

    def opened(self) -> None:
        """Read what waits; what was found for text that is no longer on the line goes."""
        if self._words and not self.host.line.value:
            self._words, self._finds = "", None
        drafts, count = self.host.drafts(), draft_of(self.sitting.record, self.sitting.by)
        self.read_sql("waiting", lambda source: waiting(source, drafts, count.read()), self._show)

    def line_changed(self, text: str) -> None:
        """Search all parts while typing."""
        words = text.strip()
        if words == self._words:
            return
        self._words = words
        if words:
            self.read_sql("find", lambda source: search(source, words, _FINDS_SHOWN), self._found)
        else:
            self._finds = None
            self._fill()

    def take(self, text: str) -> None:
        """Open the numbered line, or the chosen one."""
        words = text.strip()
        if (picked := self._picked(words)) is not None:
            self._clear()
            self._open(picked)
        elif words and (self._finds is None or not self._finds.total):
            self.host.line.put(text)
            self.host.say(f'No part has "{words}", and no line here has that number.')
        elif (item := self._rows.item) is not None:
            self._clear()
            self._open(item)

    def steer(self, key: str) -> None:
        """Choose; Right opens the line."""
        if key == "right" and self._rows.item is not None:
            self._open(self._rows.item)
        else:
            self._rows.steer(key)

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap opens the line."""
        if self._rows.item is not None:
            self._open(self._rows.item)

    # Inside.

    def _clear(self) -> None:
        self._words, self._finds = "", None
        self._fill()

    def _lines(self) -> tuple[TodayLine, ...]:
        if self._waiting is None:
            return ()
        return _EMPTY if self._waiting.empty else self._waiting.lines

    def _show(self, found: Waiting) -> None:
        self._waiting = found
        self._fill(to_finds=True)
        self.host.when_idle(self._look_further)

    def _look_further(self) -> None:
        """Do what is slow: read what does not fit and the undecided runs, and import what later views need."""
        if self._waiting is not None and not self._waiting.empty:
            record = self.sitting.record
            self.read("further", lambda session: _further(session, record), self._add, background=True)
        self.preload("tui.data.card", "tui.screens.card", "inventory.pairing.queries")

    def _add(self, more: tuple[TodayLine, ...]) -> None:
        """Add what was read later after the other lines."""
        if self._waiting is not None:
            self._waiting = Waiting(False, (*self._waiting.lines, *more)[:AT_MOST], whole=True)
            self._fill(keep=True)

    def _found(self, finds: Finds) -> None:
        self._finds = finds
        self._fill(to_finds=True)

    def _fill(self, *, to_finds: bool = False, keep: bool = False) -> None:
        if self._waiting is None:
            return
        rows: list[object] = [_Line(Content("")), _Line(shown(self._waiting.heading, "bold")), _Line(Content(""))]
        for place, line in enumerate(self._lines()):
            rows += [line, *map(_Line, self._wrapped(place, line)[1:])]
        first_find = len(rows)
        if self._finds is not None:
            finds = self._finds
            words = f'{counted(finds.total, finds.at_least)} found for "{finds.words}"'
            near = ", ".join(f"{number} ({count})" for number, count in finds.near)
            rows += [
                _Line(Content("")),
                _Line(shown(words + (f". Near: {near}" if near else ""), "bold")),
                *finds.first,
            ]
            if finds.total > len(finds.first):
                rows.append(_Line(shown("  for more: Space F, then the same words").stylize("$text-muted")))
        found = to_finds and self._finds is not None and self._finds.total
        cursor = first_find if found else self._rows.cursor if keep else 0
        if (picked := self._picked(self._words)) is not None:
            cursor = rows.index(picked)
        self._rows.fill(Fixed(rows), cursor=cursor)

    def _picked(self, words: str) -> TodayLine | None:
        """The line that a number on the line opens."""
        lines = self._lines()
        return lines[int(words) - 1] if words.isdecimal() and 1 <= int(words) <= len(lines) else None

    def _draw(self, row: object, width: int) -> Content:
        if isinstance(row, _Line):
            return row.text
        if isinstance(row, PartLine):
            return part_line(row, width)
        what = cast("TodayLine", row)
        first = self._wrapped(self._lines().index(what), what)[0]
        more = f"  {what.more}" if len(first) + len(what.more) + 2 <= width else ""
        return Content.assemble(first, (more, "$text-muted"))

    def _wrapped(self, place: int, line: TodayLine) -> list[Content]:
        """A line with its number, in as many rows as it needs."""
        width = self._rows.size.width or self.screen.size.width
        return hanging(numbered(place + 1, ""), line.says, width - 3)

    def on_resize(self) -> None:
        """Wrap the lines at the new width."""
        self.call_after_refresh(lambda: self._fill(keep=True))

    def _open(self, item: object) -> None:
        if isinstance(item, PartLine):
            self.host.open_part(item.tag)
        elif isinstance(item, TodayLine):
            if item.opens == "sheet":
                path = self.sitting.folder / item.of.removeprefix("sheet:") if item.of else None
                self.host.open(make_view("in", self.sitting, path))
            elif item.opens in ("demo", "limits", "copies"):  # done by a command, not in a view
                self.host.say({"demo": _DEMO, "copies": HOW_TO_COPY}.get(item.opens, item.says))
            elif item.opens == "part":
                self.host.open_part(item.of)
            elif item.opens == "settle":
                self.host.open(make_view("settle", self.sitting, (item.of, (item.about,) if item.about else ())))
            elif item.opens in ("got", "count", "worth"):
                self.host.open(make_view(item.opens, self.sitting))
            elif item.opens in ("belongs", "bench", "refit car", "first start", "list out"):
                self.host.open(make_view(item.opens, self.sitting, item.of))
            else:
                self.host.open(make_view("strip car" if item.of else "strip", self.sitting, item.of or None))


def _further(session: Session, record: Record) -> tuple[TodayLine, ...]:
    """An old copy, limits not taken in, first starts, what is not back, to mend, does not fit, is old; runs."""
    away = (*overdue(session), *not_found(session))
    out_of_date = (*lists_overtaken(session), *values_old(session))
    first = (*copy_waits(session), *limits_beside(record), *first_starts(session), *away)
    return (*first, *rows_to_mend(session), *what_does_not_fit(session), *out_of_date, *undecided_runs(session))
