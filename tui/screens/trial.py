"""In: a sheet's trial. What is open is asked line by line, most rows first; then the sheet is read in."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from inventory.errors import Refused
from inventory.sheets.columns.questions import SheetQuestion, choice_meant
from inventory.sheets.report import Report
from tui.data import trial as data
from tui.data.trial import Step, Trial
from tui.data.trial_told import layout_says, said_for_people
from tui.questions import Question
from tui.safe import shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.progress import Progress, progress_to
from tui.widgets.rows import Fixed, RowList
from tui.widgets.sheet_lines import (
    Answered,
    Go,
    answer_says,
    counts_of,
    detail_of,
    drawn,
    heading,
    lines_of,
    prompt,
    question_of,
)
from tui.words import many

__all__ = ["SheetTrial"]

#: So many rows are shown under the questions, and beside them.
_BELOW, _BESIDE = 3, 30
_TAKES_BACK = "Esc takes the answer back."


class SheetTrial(View):
    """The trial of one file; answers make a new trial in the background, and the old lines stay until it is there."""

    asks_what_settles = False

    DEFAULT_CSS = """
    SheetTrial > .heading { height: auto; max-height: 2; text-style: bold; padding: 0 1; }
    SheetTrial > .layout { height: auto; max-height: 2; padding: 0 1; color: $text-muted; }
    SheetTrial .below { height: 6; padding: 0 1; }
    SheetTrial .beside {
        display: none; width: 64; border-left: solid $foreground 30%; padding: 0 0 0 1; scrollbar-size-vertical: 1;
    }
    """

    def __init__(self, sitting: Sitting, trial: Trial) -> None:
        super().__init__(sitting)
        self._trial = trial
        self._answered: dict[str, Answered] = {}
        self._heading = Static(classes="heading")
        self._rows = RowList(drawn, choosable=lambda row: not isinstance(row, str))
        self._below, self._beside = Static(classes="below"), Static()
        self._layout = Static(classes="layout")

    def compose(self) -> ComposeResult:
        """The counts, the questions and what the chosen one touches, since when the layout is known."""
        yield self._heading
        with Horizontal():
            with Vertical():
                yield self._rows
                yield self._below
            with VerticalScroll(classes="beside", can_focus=False):
                yield self._beside
        yield self._layout

    # What the host asks.

    def where(self) -> str:
        """The file."""
        return f"In: {self._trial.seen.path.name}"

    def middle(self) -> str:
        """The tab, if it is one, and how many rows."""
        sheets = self._trial.seen.sheets
        rows = many(sum(len(sheet.rows) for sheet in sheets), "row")
        tabs = list(dict.fromkeys(sheet.name for sheet in sheets))
        return f"tab {tabs[0]}, {rows}" if len(tabs) == 1 else f"{many(len(tabs), 'tab')}, {rows}"

    def question(self) -> Question:
        """The choices of the chosen question; or what Enter does."""
        if (question := question_of(self._rows.item)) is not None:
            return prompt(question, self.screen.size.width)[0]
        if isinstance(self._rows.item, Go) or not self._trial.report.questions:
            return Question("Nothing is written yet.", enter="reads it in" if self._can_go_in() else "")
        return Question("", enter="goes to the next question")

    def keys(self) -> tuple[str, ...]:
        """Right shows the rows, Tab the headers."""
        return ("Enter", "Esc", "Up", "Down", "Right", "Tab", "Space", "?")

    def key_words(self) -> Mapping[str, str]:
        """What the keys do here."""
        back = {"Esc": "take back", "Space": "do"} if self._trial.steps else {}
        return {"Down": "", "Right": "rows", "Tab": "headers", **back}

    def help_text(self) -> tuple[str, ...]:
        """The trial."""
        return (
            "Nothing is recorded before you read the sheet in. The first lines are what is open: each is asked once "
            "for all its rows, most rows first. The second column says how many rows, the third what is taken if you "
            "do not answer; at ? its rows wait. Type a number or a word and Enter. Enter alone accepts what is taken. "
            "Esc takes the last answer back.",
            "The line after the questions (End) reads the sheet in, with what is taken for the rest. Rows that cannot "
            "go in are put into a workbook beside the file: correct them there and read that file. Ctrl+Z takes the "
            "whole read back.",
            "Right shows the rows that a line is about with all their cells. Tab shows the headers and what each "
            "stands for.",
            "Your answers so far are kept as a draft: Today goes on with it. Once the sheet is read in, its layout and "
            "your answers are remembered: of next month's only what is new in it is asked.",
        )

    def opened(self) -> None:
        """Show the trial."""
        self._show(self._trial)

    def steer(self, key: str) -> None:
        """Choose a line; Right shows its rows, Tab the headers."""
        if key == "tab":
            self.host.open(make_view("sheet headers", self.sitting, (self._trial, self._took)))
        elif key == "right" and not isinstance(self._rows.item, Go):
            self.host.open(make_view("sheet rows", self.sitting, (self._trial, self._rows.item)))
        elif key == "left":
            self.host.back()
        elif key == "end" and question_of(self._rows.item) in self._trial.report.questions:
            self._at_key(first=Go)
        else:
            self._rows.steer(key)

    def back(self) -> bool:
        """Take the last answer back; with none left, go back to the files."""
        if not self._trial.steps:
            self.host.replace(make_view("in", self.sitting))
            return True
        key, _ = self._trial.steps[-1]
        self._answered.pop(key, None)
        self.host.say("The last answer is taken back.")
        self._try(self._trial.steps[:-1], lambda: self._at_key(key))
        return True

    def take(self, text: str) -> None:
        """An answer; or with Enter alone what is taken, the next question, or reading in."""
        words = text.strip()
        try:
            self._take_words(words) if words else self._take_line(self._rows.item)
        except Refused as refused:
            self.host.line.put(text)
            self.host.say_refused(Refused(refused.code, refused.message, hint=said_for_people(refused.hint or "")))
        self.host.show_foot()

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap takes the line."""
        if event.again:
            self.take("")

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """Another line is chosen."""
        self._draw_detail()
        self.host.show_foot()

    def on_progress(self, event: Progress) -> None:
        """Show the progress of a long trial."""
        event.stop()
        self._heading.update(shown(event.words))

    def was_refused(self, refused: Refused) -> None:
        """The lines of before stay."""
        self._heading.update(shown(heading(self._trial)))
        if refused.hint:
            self.host.say_refused(Refused(refused.code, refused.message, hint=said_for_people(refused.hint)))

    def on_resize(self) -> None:
        """Wrap again."""
        self.call_after_refresh(self._draw_detail)

    # Answers.

    def _take_words(self, words: str) -> None:
        question = question_of(self._rows.item)
        answer = choice_meant(question, words) if question else ""
        if question and answer:
            data.check_answer(self.sitting.record, question, answer)
            self._answer(question, answer)
            return
        self.host.line.put(words)
        wanted = f"Type a number from 1 to {len(question.choices)}, or the words of a choice." if question else ""
        self.host.say(wanted or "That answers no question: choose one with Up or Down first.")

    def _take_line(self, line: object) -> None:
        if isinstance(line, SheetQuestion) and line.taken:
            self._answer(line, line.taken)
        elif isinstance(line, SheetQuestion):
            rows = f" Until then {many(len(line.rows), 'row')} cannot go in." if line.rows else ""
            self.host.say(f"Nothing is taken for it: type an answer.{rows}")
        elif isinstance(line, Go) or not (self._trial.report.questions or isinstance(line, Answered)):
            self._read_in()
        else:
            self._at_key()

    def _answer(self, question: SheetQuestion, answer: str) -> None:
        below = self._keys_after(question.key)
        says = answer_says(question, answer)

        def then() -> None:
            self._answered[question.key] = Answered(question, says)
            self._show(self._trial)
            self._at_key(*below)
            self.host.say(f"{question.says}: {says}. {_TAKES_BACK}")

        if answer == question.taken and not question.key.startswith("header/"):
            self._took(data.answered_as(self._trial, {question.key: answer}))
            then()
        else:
            self._try((*self._trial.steps, (question.key, answer)), then)

    def _keys_after(self, key: str) -> list[str]:
        """The keys of the open questions below this one."""
        keys = [each.key for each in self._trial.report.questions]
        return keys[keys.index(key) + 1 :] if key in keys else []

    def _try(self, steps: tuple[Step, ...], then: Callable[[], None]) -> None:
        record, path, report_progress = self.sitting.record, self._trial.seen.path, progress_to(self)

        def show(trial: Trial) -> None:
            self._took(trial)
            self._show(trial)
            then()

        self.work("try", lambda: data.tried(record, path, steps, report_progress), show)

    def _took(self, trial: Trial) -> None:
        """Go on with another trial; its answers are kept as a draft."""
        self._trial = trial
        if trial.steps:
            self.host.save_draft(data.draft_of(trial))
        else:
            self.host.drop_draft(data.draft_key(trial.seen.path))

    def _read_in(self) -> None:
        trial, sitting, report_progress = self._trial, self.sitting, progress_to(self)
        if trial.to_answer_first:
            self._at_key(trial.to_answer_first)
            self.host.say("This has to be answered first: nothing is taken for it.")
            return
        if not self._can_go_in():
            self.host.say("No row can go in yet. Right shows the rows of a line.")
            return
        as_taken = {each.key: each.taken for each in trial.report.questions if each.taken}
        trial = data.answered_as(trial, as_taken)

        def message(now: Report) -> str:
            counts = ", ".join(f"{count:,} {word}" for count, word in counts_of(now) if count) or "no rows"
            says = [f"{counts.capitalize()}."]
            if now.refused:
                says.append(f"{many(now.refused, 'row')} to correct in {trial.rejects.name}.")
            if (now.added, now.changed) != (trial.report.added, trial.report.changed):
                says.append("The record changed after the trial.")
            if now.added or now.changed:
                says.append("Ctrl+Z takes it back.")
            return " ".join(says)

        self.host.write(
            self,
            lambda: data.read_in(sitting.record, trial, sitting.by, report_progress),
            message,
            then=lambda _: self.host.close(),
            draft=data.draft_key(trial.seen.path),
        )

    def _can_go_in(self) -> bool:
        """Whether there is a row to read in, or nothing that speaks against reading none."""
        return bool(self._trial.ready or not self._trial.report.refused)

    # What is drawn.

    def _show(self, trial: Trial) -> None:
        """Fill the lines; the line that was chosen stays so, or the first question is."""
        self._heading.update(shown(heading(trial)))
        self._layout.update(shown(layout_says(trial.seen)))
        chosen = question_of(self._rows.item)
        self._rows.fill(Fixed(lines_of(trial, self._answered.values())))
        self._at_key(*([chosen.key] if chosen else []))
        self.host.show_foot()

    def _at_key(self, *keys: str, first: type = SheetQuestion) -> None:
        """Choose the first of these questions that is open, else the first open one, else the line that reads in."""
        lines = list(self._rows.source.window(0, self._rows.source.count()) or ())
        places = {line.key: place for place, line in enumerate(lines) if isinstance(line, SheetQuestion)}
        wanted = [places[key] for key in keys if key in places]
        others = [place for kind in (first, Go) for place, line in enumerate(lines) if isinstance(line, kind)]
        self._rows.choose((*wanted, *others)[0])
        self._draw_detail()
        self.host.show_foot()

    def _draw_detail(self) -> None:
        """What belongs to the chosen line: under the lines, and on a wide screen beside them in full."""
        trial, line, screen = self._trial, self._rows.item, self.screen.size.width
        below = detail_of(trial, line, _BELOW, max(self.size.width - 4, 30), screen, full=False)
        self._below.update(Content("\n").join(below))
        self._beside.update(Content("\n").join(detail_of(trial, line, _BESIDE, 58, screen, full=True)))
