"""Bench: the part, the test, then the readings one by one, judged while they are typed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from inventory.errors import Refused
from inventory.store.words.nothing import nothing_in
from tui.data import bench as data
from tui.data.bench import Instructions, OnBench, Test, Undecided
from tui.drafts import Draft
from tui.measuring import Measuring
from tui.questions import Question, chosen
from tui.safe import crop, hanging, plain, shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.card import step_lines
from tui.widgets.measured import measured_lines
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

if TYPE_CHECKING:
    from inventory.bench.one_prefix_up import OneUp

__all__ = ["Bench", "draft_key"]

_KEY = "bench:"


def draft_key(tag: str, test: str) -> str:
    """The key of the draft of a run."""
    return f"{_KEY}{tag}:{test}"


class Bench(View):
    """A part on the bench. `of`: its tag, or the key of a draft to continue."""

    DEFAULT_CSS = """
    Bench > .heading { height: 2; text-wrap: nowrap; text-overflow: ellipsis; }
    Bench > RowList { height: 1fr; }
    Bench > .run { height: 1fr; padding: 0 0 0 1; display: none; scrollbar-size-vertical: 1; }
    Bench.-measuring > RowList { display: none; }
    Bench.-measuring > .run { display: block; }
    """

    def __init__(self, sitting: Sitting, of: str = "") -> None:
        super().__init__(sitting)
        self._tag, _, self._resumes = of.removeprefix(_KEY).partition(":")
        self._part: OnBench | None = None
        self._sheet: Instructions | None = None
        self._run: Measuring | None = None
        self._live: data.LiveVerdict | None = None
        self._heading = Static(classes="heading")
        self._rows = RowList(self._draw, choosable=lambda row: isinstance(row, Test | Undecided))
        self._body = Static()
        self._scroll = VerticalScroll(classes="run", can_focus=False)

    def compose(self) -> ComposeResult:
        """A list (parts or tests), or the run."""
        yield self._heading
        yield self._rows
        with self._scroll:
            yield self._body

    # What the host calls.

    def where(self) -> str:
        """The part, and the test."""
        named = f"Bench: {self._tag}" if self._tag else "Bench"
        return f"{named}, {self._sheet.title}" if self._sheet and self._run else named

    def question(self) -> Question:
        """The open question."""
        run, sheet = self._run, self._sheet
        if run is None or sheet is None:
            return Question("Which test? Its number:") if self._tag else Question("Label of the part on the bench:")
        if run.noting == "blank":
            point = len(run.beside.get("blank", ())) + 1
            return Question(f"Blank, hose plugged: reading {point}?", enter="no more" if point > 1 else "none")
        if run.noting:
            return Question(f"{run.noting[:1].upper()}{run.noting[1:]}?", enter="not noted")
        if run.open_name:
            held = next((each for each in run.readings if each.startswith(f"{run.open_name}=")), "")
            return Question(
                f"{run.open_name[:1].upper()}{run.open_name[1:]}, {run.unit_of(run.open_name) or 'as seen'}?",
                enter=_keeps(held),
            )
        if run.stage == "readings":
            return Question(f"Reading {len(run.readings) + 1}?", enter="no more" if run.readings else "")
        return Question("Record it? A number adds a condition.", enter="yes")

    def care(self) -> str:
        """The worst caution of the test, while it is being done."""
        return self._sheet.cares[0][0] if self._run and self._sheet and self._sheet.cares else ""

    def cautions_in_full(self) -> tuple[str, ...]:
        """All cautions of the test."""
        return tuple(full for _, full in self._sheet.cares) if self._sheet else ()

    def help_text(self) -> tuple[str, ...]:
        """The steps of the test, and how to type readings."""
        steps = tuple(f"{place}. {step}" for place, step in enumerate(self._sheet.steps, 1)) if self._sheet else ()
        return (
            *steps,
            "Type readings as the dial shows them, with their unit: 0s=50cmHg, then 5 49. Type a unit once; it is "
            "repeated. Separate several readings on one line with ; and type OL if the meter shows overrange. The "
            "verdict appears below while you type. Nothing is recorded before the last Enter.",
            "After the last reading, a number adds a condition: the gauge's resolution, the temperature, the meter. "
            "Esc goes one step back. Each answer is saved as a draft at once. To delete the draft, type drop at the "
            "end.",
        )

    def part_tag(self) -> str | None:
        """The part on the bench, or the part of the chosen run."""
        item = self._rows.item
        return self._tag or (item.tag if isinstance(item, Undecided) else None)

    def opened(self) -> None:
        """Read the undecided runs, or the tests of the part."""
        if not self._tag:
            self._heading.update(shown(" Undecided runs, newest first", "bold"))
            self.read("undecided", data.undecided_runs, self._show_undecided)
        elif self._run is None:
            self._put_on(self._tag)

    def line_changed(self, text: str) -> None:
        """Judge the readings with the one being typed."""
        if self._run is not None:
            self._judge(text)

    def take(self, text: str) -> None:
        """An answer."""
        words = plain(text).strip()
        if self._run is not None and self._sheet is not None:
            self._answer(self._run, self._sheet, words)
        elif self._tag:
            self._choose(words)
        elif words:
            self.host.open(make_view("find", self.sitting, words))
        elif isinstance(self._rows.item, Undecided):
            self._put_on(self._rows.item.tag)

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """Put another part on the bench; during a run, let the host open that part."""
        if self._run is not None:
            return False
        self._put_on(tag)
        return True

    def steer(self, key: str) -> None:
        """Choose; while a run is typed, scroll it."""
        if self._run is None:
            self._rows.steer(key)
        elif key in ("pageup", "pagedown", "up", "down"):
            step = max(self._scroll.size.height - 1, 1) if key.startswith("page") else 1
            self._scroll.scroll_relative(y=-step if key in ("pageup", "up") else step, animate=False)
        elif key == "right":
            self.host.open_part(self._tag)

    def back(self) -> bool:
        """One step back: to the reading before, or to the tests."""
        if self._run is None:
            return False
        before = self._run.back()
        if before is None:
            self._leave_run()
        else:
            self._keep(before)
        return True

    @property
    def draft_key(self) -> str:
        """The key of the draft of the run in front; "" if there is none."""
        return draft_key(self._tag, self._sheet.name) if self._run is not None and self._sheet is not None else ""

    def was_refused(self, refused: Refused) -> None:
        """If there is no such part, ask for a label again. A refused run stays on the screen."""
        if self._part is None and self._run is None:
            self._tag = ""
            self.opened()

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap picks the line."""
        self.take("")

    def on_resize(self) -> None:
        """Redraw at the new width."""
        self.call_after_refresh(self._resized)

    def _resized(self) -> None:
        self._draw_run()
        if self._part is not None:
            self._list(self._part.tests)

    # Which part, which test.

    def _show_undecided(self, runs: tuple[Undecided, ...]) -> None:
        self._list(runs)

    def _put_on(self, tag: str) -> None:
        self._tag, self._part = tag, None
        self.read("part", lambda session: data.on_bench(session, tag), self._show_part)

    def _show_part(self, part: OnBench) -> None:
        self._part, self._tag = part, part.tag
        self._heading.update(shown(f" {part.head}", "bold"))
        self._list(part.tests)
        self.preload("inventory.bench.methods.hold.run", "inventory.bench.methods.resistance.run")
        if not part.tests:
            self.host.say(f"There is no test for a {part.kind} yet.")
        wanted, self._resumes = self._resumes, ""
        for test in part.tests:
            if test.name == wanted:
                self._begin(test)

    def _choose(self, words: str) -> None:
        tests = self._part.tests if self._part else ()
        item = self._rows.item
        name = chosen(words, tuple(test.title for test in tests)) if words else None
        picked = next((test for test in tests if test.title == name), None)
        if not words and isinstance(item, Test):
            picked = item
        if picked is None:
            self.host.say("Type the number or the name of the test.")
        else:
            self._begin(picked)

    def _begin(self, test: Test) -> None:
        if self._part is None:
            return
        self._sheet = sheet = data.instructions_for(test.name, self._part)
        blank = any(each.name == "blank" for each in sheet.beside)
        run = Measuring(sheet.name, sheet.names).begun(blank=blank)
        draft = self.host.draft(draft_key(self._tag, sheet.name))
        if draft is not None:
            run = run.resumed(draft.answers)
            self.host.say(f"{draft.what}: continued from the draft.")
        elif not sheet.names:
            self.host.say(f"Needed: {sheet.reads}.")
        self.add_class("-measuring")
        self._run = run
        self._judge("")
        self._draw_run()

    def _leave_run(self) -> None:
        self._run, self._live = None, None
        self.remove_class("-measuring")
        self._put_on(self._tag)

    # The run.

    def _answer(self, run: Measuring, sheet: Instructions, words: str) -> None:
        if words.casefold() == "drop":
            self._drop(sheet)
        elif run.noting and nothing_in(words) in ("doubtful", "as above"):
            self.host.say(f'"{words}" says nothing certain. Enter leaves it out.')
        elif run.noting == "blank" and words:
            self._keep_read(run, run.blank_read(words), words)
        elif run.noting:
            self._keep_read(run, run.note(run.noting, words) if words else run.closed(), words)
        elif run.stage == "readings":
            if not words and not run.names and not run.readings:
                self.host.say(f"Needed: {sheet.reads}.")
            else:
                self._keep_read(run, run.read(words), words)
        elif words:
            self._note(run, sheet, words)
        else:
            self._write(run, sheet)

    def _keep_read(self, before: Measuring, run: Measuring, words: str) -> None:
        """Continue, unless the typed text cannot be read: then it stays on the line."""
        context = self._part.context if self._part else None
        refused = data.refusal(context, run) if context else None
        if refused is not None and context is not None and data.refusal(context, before) is None:
            self.host.line.put(words)
            self.host.say_refused(refused)
        else:
            self._keep(run)

    def _note(self, run: Measuring, sheet: Instructions, words: str) -> None:
        """Ask for a condition by number or name; with a value after the name, note it at once."""
        names = tuple(each.name for each in sheet.beside)
        name = chosen(words, names)
        value = ""
        if name is None:
            name = next((each for each in sorted(names, key=len, reverse=True) if words.startswith(f"{each} ")), None)
            value = words[len(name) :].strip(" =") if name else ""
        noted = next((each for each in sheet.beside if each.name == name), None)
        if noted is None:
            self.host.say("Enter on an empty line records the run; a number adds a condition.")
        elif noted.form == "flag":
            self._keep(run.note(noted.name, "" if noted.name in run.beside else "yes"))
        elif value:
            self._keep_read(run, run.note(noted.name, value, several=noted.form == "readings"), words)
        else:
            self.host.say(noted.help)
            self._keep(run.opening(noted.name))

    def _keep(self, run: Measuring) -> None:
        """Continue the run; its answers are on disk before the next question."""
        self._run = run
        if self._sheet is not None:
            key = draft_key(self._tag, self._sheet.name)
            if run.readings or run.beside:
                what = f"{self._tag}, {self._sheet.title}"
                self.host.save_draft(Draft(key, what, self.question().ask, run.as_answers()))
            else:
                self.host.drop_draft(key)
        self._judge("")
        self._draw_run()

    def _drop(self, sheet: Instructions) -> None:
        def dropped() -> None:
            self.host.drop_draft(draft_key(self._tag, sheet.name))
            self._leave_run()
            self.host.say("The readings were dropped. Nothing was recorded.")

        self.host.confirm(Question("Drop these readings?", enter="yes, Esc no"), dropped)

    def _write(self, run: Measuring, sheet: Instructions) -> None:
        """Record the run, after asking about readings that would pass one prefix up."""
        tag = self._tag
        if run.bare or not run.names:
            self.read(
                "doubt", lambda session: data.in_doubt(session, tag, run), lambda doubt: self._ask(run, sheet, doubt)
            )
        else:
            self._record(run, sheet)

    def _ask(self, run: Measuring, sheet: Instructions, doubt: OneUp | None) -> None:
        if doubt is None:
            self._record(run, sheet)
            return

        def take(answer: str) -> None:
            self._keep(run.meant(doubt.place, doubt.retyped if answer == doubt.up else run.readings[doubt.place]))
            if self._run is not None:
                self._write(self._run, sheet)

        self.host.say(f"{doubt.says}. Nothing is recorded yet.")
        self.host.ask(Question(f"Which is meant, {doubt.reading}?", (doubt.up, doubt.taken)), take)

    def _record(self, run: Measuring, sheet: Instructions) -> None:
        by, tag = self.sitting.by, self._tag
        self.write(
            lambda session: data.write_down(session, by, tag, run),
            lambda said: f"{said}. Ctrl+Z takes it back.",
            then=lambda _: self._leave_run(),
            draft=draft_key(tag, sheet.name),
        )

    def _judge(self, typed: str) -> None:
        run, tag = self._run, self._tag
        if run is None or not (run.readings or typed.strip()):
            self._show_live(None)
            return
        self.read("live", lambda session: data.live_verdict(session, tag, run, typed), self._show_live, background=True)

    def _show_live(self, live: data.LiveVerdict | None) -> None:
        self._live = live
        self._draw_run()

    def _draw_run(self) -> None:
        if self._run is None or self._sheet is None:
            return
        width = max(self.size.width - 3, 30)
        lines = measured_lines(self._sheet, self._run, width)
        if self._live is not None:
            lines += [Content(""), *(part.stylize("bold") for part in shown(self._live.says).wrap(width))]
            if self._live.curve is not None:
                lines += step_lines(data.as_step(self._live.curve), width, "  ")
            more = [says for says in self._live.reasons if says not in self._live.says]
            lines += [part.stylize("$text-muted") for says in more for part in shown(says).wrap(width)]
        self._heading.update(shown(f" {self._part.head}" if self._part else "", "bold"))
        self._body.update(Content("\n").join(lines))

    def _list(self, items: Sequence[Test | Undecided]) -> None:
        """Fill the list; what came out is shown whole."""
        width = (self._rows.size.width or self.screen.size.width) - 3
        self._rows.fill(Fixed([row for item in items for row in (item, *self._in_rows(item, width)[1:])]))

    def _in_rows(self, row: Test | Undecided, width: int) -> list[Content]:
        if isinstance(row, Undecided):
            return hanging(f"{row.tag}  ", row.says, width)
        tests = self._part.tests if self._part else (row,)
        column = min(max(len(test.title) for test in tests), max(width // 3, 12))
        return hanging(numbered(tests.index(row) + 1, f"{crop(row.title, column)}  "), row.last, width)

    def _draw(self, row: object, width: int) -> Content:
        if isinstance(row, Test | Undecided):
            return self._in_rows(row, width - 1)[0]
        return row if isinstance(row, Content) else Content("")


def _keeps(held: str) -> str:
    return f"keeps {held.partition('=')[2]}" if held else "not measured"
