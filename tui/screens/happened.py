"""What happened to a part: a mishap, or work done on it. Both say which tests no longer count."""

from __future__ import annotations

from typing import Any

from textual.app import ComposeResult
from textual.content import Content

from inventory.store.words.nothing import is_no_name
from tui.data import happened as data
from tui.questions import Question, chosen
from tui.safe import plain, shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["Mishap", "NoteWork"]


class _Happened(View):
    """The tests of the part that count now."""

    name_shown = ""

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._rows = RowList(lambda row, _: row if isinstance(row, Content) else Content(""))
        self._rows.steered = False

    def compose(self) -> ComposeResult:
        """The tests."""
        yield self._rows

    def where(self) -> str:
        """The part."""
        return f"{self.name_shown}: {self._tag}"

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def _show_tests(self, tests: dict[str, str]) -> None:
        lines = ["Tests that count now", *(f"  {says}" for says in tests.values())]
        if not tests:
            lines = ["No test of this part counts now."]
        self._rows.fill(Fixed([Content(""), shown(lines[0], "bold"), *map(shown, lines[1:])]))


class Mishap(_Happened):
    """A mishap: one digit, and a note behind it if wanted."""

    name_shown = "Mishap"

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting, tag)
        self._words: tuple[str, ...] = ()

    def question(self) -> Question:
        """What happened."""
        return Question("What happened? A note may follow:", self._words)

    def help_text(self) -> tuple[str, ...]:
        """What a mishap does."""
        return (
            "Type the number of what happened, and a note behind it if you like: 1 from the bench onto concrete. It is "
            "recorded for today, with your name. A mishap is no verdict: tests made before it no longer count, and the "
            "next test decides.",
        )

    def opened(self) -> None:
        """Read the words, and the tests that count."""
        tag = self._tag
        self.read("words", lambda session: (data.mishaps(session), data.counting_tests(session, tag)), self._show)

    def take(self, text: str) -> None:
        """Record it."""
        first, _, note = plain(text).strip().partition(" ")
        mishap = chosen(first, self._words) if first else None
        if mishap is None:
            self.host.say(f"Type 1 to {len(self._words)}, and a note behind it if you like: 1 from the bench.")
            return
        by, tag = self.sitting.by, self._tag
        self.write(
            lambda session: data.note_mishap(session, by, tag, mishap, "" if is_no_name(note) else note.strip()),
            lambda ended: f"{tag}: {mishap}.{ended} Ctrl+Z takes it back.",
            then=lambda _: self.host.close(),
        )

    def _show(self, read: tuple[tuple[str, ...], dict[str, str]]) -> None:
        self._words = read[0]
        self._show_tests(read[1])


class NoteWork(_Happened):
    """Work on a part: what was done, whether ports and plug were covered if that matters, then where."""

    name_shown = "Note work"

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting, tag)
        self._what, self._typed = "", ""
        self._details: dict[str, Any] = {}

    def care(self) -> str:
        """The worst hazard of the work, by its words, from when they are typed."""
        return next((line for line, _ in data.cares(self._what or self._typed)), "")

    def cautions_in_full(self) -> tuple[str, ...]:
        """All hazards of the work."""
        return tuple(full for _, full in data.cares(self._what or self._typed))

    def line_changed(self, text: str) -> None:
        """What is typed so far has its hazards too."""
        if not self._what:
            self._typed = plain(text)
        self.host.show_foot()

    def question(self) -> Question:
        """What was done; whether ports were covered; then where, with the proposal of its words."""
        if not self._what:
            return Question("What was done?")
        if self._asks_for_covers:
            return Question("Ports and plug covered?", data.YES_NO)
        return Question("Where?", data.AREAS, data.proposed(self._what)[0])

    def help_text(self) -> tuple[str, ...]:
        """What work does."""
        return (
            "Say in a few words what was done, then where. Outside: bracket, mounts, label. On the unit: opened, "
            "heated, blasted or wetted; tests made before no longer count. Words only propose; your answer counts.",
            "More may follow behind semicolons: painted bracket; with zinc primer; batch 2025-Q3; by the plater; "
            "45 EUR; off old clip, in the box of old parts. Cleaning, blasting and coating get into open "
            "ports, so it is asked whether they were covered.",
        )

    def opened(self) -> None:
        """Read the tests that count."""
        tag = self._tag
        self.read("tests", lambda session: data.counting_tests(session, tag), self._show_tests)

    @property
    def _asks_for_covers(self) -> bool:
        return "covered" not in self._details and data.asks_for_covers(self._what)

    def back(self) -> bool:
        """From where or the covers to what."""
        if not self._what:
            return False
        self.host.line.put(self._typed)
        self._what, self._details = "", {}
        return True

    def take(self, text: str) -> None:
        """What was done; whether ports were covered; then where, and record it."""
        words = plain(text).strip()
        if not self._what:
            self._take_what(words)
        elif self._asks_for_covers:
            if (covered := chosen(words, data.YES_NO)) is None:
                self.host.say("Were ports and plug covered? Type 1 for yes or 2 for no.")
                return
            self._details["covered"] = covered
            self.host.say("" if covered == "yes" else "Look for water, grit and paint inside before you test it.")
        else:
            self._take_area(words)

    def _take_what(self, words: str) -> None:
        if not words or is_no_name(words):
            self.host.say("Say in a few words what was done, for example: new hose, heated to free a screw.")
            return
        self._typed = words
        self._what, self._details = data.read_work(words)
        word = data.proposed(self._what)[1]
        self.host.say(f'"{word}" concerns the unit itself. Tests made before it would no longer count.' if word else "")

    def _take_area(self, words: str) -> None:
        area = chosen(words, data.AREAS) if words else data.proposed(self._what)[0]
        if area is None:
            self.host.say(f'"{words}" is neither {" nor ".join(data.AREAS)}. Type 1 or 2.')
            return
        by, tag, what, details = self.sitting.by, self._tag, self._what, data.WorkDetails(**self._details)
        self.write(
            lambda session: data.note_work(session, by, tag, what, area, details),
            lambda ended: f"{tag}: work {area} noted.{ended} Ctrl+Z takes it back.",
            then=lambda _: self.host.close(),
        )
