"""Count: every scan a tick, shelf by shelf; facts are written only when the count is closed."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.content import Content

from inventory.counting.sheet import AWAY, ELSEWHERE, HERE, NOT_HERE, TO_COUNT, TO_FIND, UNREAD, Line, state_so_far
from inventory.counting.write_draft import draft_of
from inventory.counting.write_scan import Taken
from inventory.store.words.text import fold
from tui.data import count as data
from tui.questions import Question
from tui.safe import plain, shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import many

__all__ = ["Count"]

_MOVES = ("all", "none", "each")
_STYLES = {HERE: "", NOT_HERE: "bold", ELSEWHERE: "bold", TO_COUNT: "$text-muted", TO_FIND: "", AWAY: "$text-muted"}


class Count(View):
    """First what is counted, then the count: one list in shelf order."""

    asks_what_settles = False

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._draft = draft_of(sitting.record, sitting.by)
        self._scopes: tuple[data.Scope, ...] = ()
        self._now: data.Standing | None = None
        self._words = ""
        self._at = ""
        self._rows = RowList(self._draw, choosable=lambda row: isinstance(row, (Line, data.Scope)))

    def compose(self) -> ComposeResult:
        """One list."""
        yield self._rows

    def where(self) -> str:
        """What is counted."""
        return f"Count: {self._now.of}" if self._now else "Count"

    def middle(self) -> str:
        """How far it is."""
        now = self._now
        if now is None:
            return ""
        states = [state_so_far(line, now.counted) for line in now.lines]
        return ", ".join(f"{states.count(state)} {state}" for state in (HERE, NOT_HERE, ELSEWHERE))

    def question(self) -> Question:
        """What to scan, and how it ends."""
        if self._now is None:
            return Question("What is counted? Choose, type or scan a place", enter="begins")
        shelf = self._now.counted.shelf_id
        at = f"In {self._now.house.name(shelf)}: scan parts" if shelf is not None else "Scan a shelf, then parts"
        return Question(f"{at}. done closes, off unticks:")

    def help_text(self) -> tuple[str, ...]:
        """How a count goes."""
        return (
            "Scan the label of a shelf, or type its name; then scan each part that lies there. Every scan is a tick, "
            "kept at once: leave when you like, Space C goes on. A bell means: look at the screen. A part that belongs "
            "elsewhere says where; lay it aside, or leave it, and go on.",
            "Only shelves that you scanned, or where a part was ticked, are judged. Not here is a finding, no loss: "
            "the part keeps its place. What came off as one with a part is not ticked with it: scan it too.",
            "Type done to close: you are asked whether the record follows what lies elsewhere, then all is written as "
            "one act. Ctrl+Z takes that back; the ticks are then here again. Type off to take the chosen tick off, "
            "drop to throw the whole count away. Right opens the chosen part.",
        )

    def part_tag(self) -> str | None:
        """The part of the chosen line."""
        item = self._rows.item
        return item.tag if isinstance(item, Line) and item.part_id is not None else None

    def opened(self) -> None:
        """Go on with the count that is open, or ask what is counted."""
        draft = self._draft
        self.read("count", lambda session: data.standing(session, draft), self._show)
        self.read("places", data.where_to_count, self._know_scopes)

    def line_changed(self, text: str) -> None:
        """Narrow what can be counted."""
        if self._now is None:
            self._words = text.strip()
            self._fill()

    def steer(self, key: str) -> None:
        """Choose; Right opens the part."""
        if key == "right" and (tag := self.part_tag()):
            self.host.open(make_view("card", self.sitting, tag))
        else:
            self._rows.steer(key)

    def take(self, text: str) -> None:
        """Begin, end, or take what was typed as a scan is."""
        words, item = plain(text).strip(), self._rows.item
        if self._now is None:
            self._words = ""
            if isinstance(item, data.Scope):
                self._begin(item.place)
            elif words:
                self.host.say(f'No place "{words}" is on record. Enter one: matchmark place add "{words}"')
            self._fill()
        elif fold(words) == "done":
            self._ask_moves(self._now)
        elif fold(words) == "drop":
            self._ask_drop(self._now)
        elif fold(words) == "off":
            self._untick(item)
        elif words:
            self._scan(words, typed=True)

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """A label is a tick, scanned or typed."""
        if self._now is None:
            return False
        self._scan(tag)
        return True

    def place_read(self, text: str, *, by_hand: bool) -> bool:
        """The label of a place: count it, or go on there."""
        if self._now is None:
            self._begin(text)
        else:
            self._scan(text)
        return True

    def scanned(self, text: str) -> str:
        """What is no label of this record is kept as such, so that it is looked at in the end."""
        if self._now is None:
            return ""
        self._scan(text, rung=True)
        return f'"{text}" was scanned.'

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap begins."""
        if event.again and self._now is None:
            self.take("")

    # Inside.

    def _begin(self, place: str | None) -> None:
        draft = self._draft
        self.read("begin", lambda session: data.begin(session, draft, place), self._show)

    def _scan(self, text: str, *, rung: bool = False, typed: bool = False) -> None:
        """Take a scan. `rung`: the bell rang for it; `typed`: what is no label of this record is not kept."""
        draft = self._draft

        def taken(found: tuple[Taken, data.Standing | None]) -> None:
            what, now = found
            self._at = what.tag
            self._show(now)
            if what.rings and not (rung or typed):
                self.app.bell()
            self.host.say(f"{what.says}.")

        self.read("scan", lambda session: data.one_scan(session, draft, text, keep=not typed), taken)

    def _untick(self, item: object) -> None:
        if not isinstance(item, Line) or not item.at or item.part_id is None:
            self.host.say("Choose a ticked line, then type off.")
            return
        draft, tag = self._draft, item.tag
        self._at = tag
        self.host.say(f"{tag} is no longer ticked.")
        self.read("untick", lambda session: data.untick(session, draft, tag), self._show)

    def _ask_drop(self, now: data.Standing) -> None:
        def dropped() -> None:
            data.drop(self._draft)
            self.host.say("Dropped. Nothing of it was on record.")
            self._show(None)

        ticks = many(len(now.counted.ticks), "tick")
        self.host.confirm(Question(f"Throw this count away, with {ticks}?", enter="yes, Esc no"), dropped)

    def _ask_moves(self, now: data.Standing) -> None:
        """Before closing: which parts the record is to follow."""
        astray = [line for line in now.lines if line.may_move]
        if not astray:
            self._ask_close(now, [])
            return

        def answered(answer: str) -> None:
            if answer == _MOVES[2]:
                self._ask_each(now, astray, [])
            else:
                self._ask_close(now, astray if answer == _MOVES[0] else [])

        says = f"{len(astray)} to note where they lie now?"
        self.host.ask(Question(says, _MOVES), answered)

    def _ask_each(self, now: data.Standing, left: Sequence[Line], moved: Sequence[Line]) -> None:
        if not left:
            self._ask_close(now, moved)
            return
        line, rest = left[0], left[1:]

        def answered(answer: str) -> None:
            self._ask_each(now, rest, [*moved, line] if answer == "yes" else moved)

        self._at = line.tag
        self._fill()
        says = f"{line.tag}: note it in {now.house.name(line.place_id)}?"
        self.host.ask(Question(says, ("yes", "no")), answered)

    def _ask_close(self, now: data.Standing, moved: Sequence[Line]) -> None:
        if now.left:
            self.host.say(f"Not counted: {', '.join(now.left[:3])}{' ...' if len(now.left) > 3 else ''}.")
        keys = [line.part_id for line in moved if line.part_id is not None]
        by, draft = self.sitting.by, self._draft

        def close() -> None:
            self.write(
                lambda session: data.close_count(session, by, draft, keys),
                lambda says: f"{says} Ctrl+Z takes it back.",
                then=lambda _: self.opened(),
            )

        self.host.confirm(Question(f"Close? {_found(now)}.", enter="writes it"), close)

    def _know_scopes(self, scopes: tuple[data.Scope, ...]) -> None:
        self._scopes = scopes
        self._fill()

    def _show(self, now: data.Standing | None) -> None:
        self._now = now
        self._fill()
        self.host.show_foot()

    def _fill(self) -> None:
        if self._now is not None:
            rows, at = self._counting(self._now)
            self._rows.fill(Fixed(rows), cursor=at)
            return
        found = [scope for scope in self._scopes if fold(self._words) in fold(scope.place or "everything")]
        head = [shown("Which shelf, rack or room is counted?", "bold"), Content("")]
        if len(self._scopes) == 1:
            head = [
                shown("No place is on record yet. Enter one, and put parts there:"),
                shown("matchmark place add NAME"),
            ]
        self._rows.fill(Fixed([*head, *(found if len(self._scopes) > 1 else ())]))

    def _counting(self, now: data.Standing) -> tuple[list[object], int]:
        """The rows of the count, and which is chosen: the line scanned last, or the first of the shelf."""
        rows: list[object] = []
        at = 0
        for place_id in dict.fromkeys(line.place_id for line in now.lines):
            there = [line for line in now.lines if line.place_id == place_id]
            name, here = now.house.name(place_id), sum(line.state == HERE for line in there)
            belong = sum(line.state not in (ELSEWHERE, AWAY, UNREAD) for line in there)
            current = place_id is not None and place_id == now.counted.shelf_id
            if current and self._at not in {line.tag for line in now.lines}:
                at = len(rows) + 1
            rows.append(shown(f"{'>' if current else ' '}{name}  {here} of {belong}", "bold"))
            for line in there:
                if line.tag == self._at:
                    at = len(rows)
                rows.append(line)
        return rows if now.lines else [shown("Nothing lies there by the record. Scan what does.")], at

    def _draw(self, row: object, width: int) -> Content:
        if isinstance(row, Content):
            return row
        if isinstance(row, data.Scope):
            name = f"{'  ' * row.depth}{row.place or 'everything'}"
            return Content.assemble(shown(f"{name:<28} "), (many(row.parts, "part"), "$text-muted"))
        if not isinstance(row, Line) or self._now is None:
            return Content("")
        so_far = state_so_far(row, self._now.counted)
        state = f"{so_far} {self._now.hours.get(row.at, '')}".strip()
        words = f"  {state:<16} {row.tag}  {'; '.join(filter(None, (row.says, row.what)))}"
        return shown(words, _STYLES.get(so_far, "bold"))


def _found(now: data.Standing) -> str:
    return f"{now.many(HERE)} here, {now.many(NOT_HERE)} not here, {now.many(ELSEWHERE)} elsewhere"
