"""Got: a part that did not come off a car here came in: bought, found, a customer's."""

from __future__ import annotations

from dataclasses import replace

from textual.app import ComposeResult
from textual.content import Content

from tui.data import got as data
from tui.data import strip
from tui.drafts import Draft
from tui.interview import Interview
from tui.questions import Question
from tui.safe import plain, shown
from tui.screens.interviewing import Interviewing
from tui.sitting import Sitting
from tui.widgets.form import EXPLAINED, form_rows, label_rows
from tui.widgets.rows import Fixed, RowList

__all__ = ["DRAFT_KEY", "Got"]

DRAFT_KEY = "got"


class Got(Interviewing):
    """The form of the part, and what the open question means."""

    draft_key = DRAFT_KEY

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting, "")
        self._rows = RowList(lambda row, _: row if isinstance(row, Content) else Content(""))
        self._rows.steered = False

    def compose(self) -> ComposeResult:
        """One column."""
        yield self._rows

    def where(self) -> str:
        """The view, and the label."""
        label = self.interview.value("label") if self.interview else ""
        return f"Got: {label or 'a part came in'}"

    def what(self) -> str:
        """What the draft is about."""
        return "A part that came in"

    def question(self) -> Question:
        """The open question."""
        return self.asked()

    def help_text(self) -> tuple[str, ...]:
        """How a part is entered."""
        return (
            "For a part that did not come off a car here: bought, found, brought in. The label goes on first. Scan it "
            "or type it; Enter alone shows a label to write by hand.",
            "Maker and number go on one line, with a comma between.",
            "Seal, code, serial and condition are never offered: you must look at the part. From the last question, "
            "Up goes to a note and the other seals. Esc goes to the question before. Each answer is saved as a draft "
            "at once. To delete the draft, type drop at the label or the last question.",
        )

    def opened(self) -> None:
        """Begin, or go on with the draft."""
        if self.interview is not None:
            return
        self.read("places", data.names_of_places, self._know_places, background=True)
        draft = self.host.draft(self.draft_key)
        if draft is None:
            self.begin_again()
        else:
            self._resume(draft)
        self.redraw()

    def take(self, text: str) -> None:
        """An answer."""
        if self.interview is not None:
            self.take_answer(self.interview, plain(text).strip())
        self.redraw()

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """Take the label of the part; at other questions say or ask what it is."""

        def take(said: tuple[str, str]) -> None:
            if self._at("label"):
                self._label(tag, *said)
            else:
                self.midway(tag, said[0])

        self.read("label", lambda session: data.label_taken(session, tag), take)
        return True

    def write_part(self, interview: Interview) -> None:
        """Enter the part."""
        by, kind = self.sitting.by, interview.value("kind")
        self.write(
            lambda session: data.enter_part(session, by, interview),
            lambda tag: f"{kind} {tag}: entered. Ctrl+Z takes it back. Next part, or Esc.",
            then=lambda _: self._next(),
            draft=self.draft_key,
        )

    def redraw(self) -> None:
        """Show the answers, and under them what the open question means."""
        if self.interview is None:
            return
        width = max(self.size.width - 3, 30)
        rows, at = form_rows(self.interview, width)
        if self._label_to_write:
            rows, at = label_rows(self._label_to_write), 0
        explained = shown(EXPLAINED.get(self.interview.at, "")).wrap(width)
        self._rows.fill(Fixed([*rows, Content(""), *explained]), cursor=at)

    # Inside.

    def _label(self, tag: str, kind: str, remark: str) -> None:
        if kind:
            self.host.say(f"Label {tag} is already on a {kind}. Nothing was changed. Use the next one.")
        elif self.interview is not None:
            self._label_to_write = ""
            self.host.say(f"{remark or f'Label {tag} read. Stick it on'}.")
            self.keep(self.interview.answered(tag))
        self.redraw()

    def _know_places(self, names: tuple[str, ...]) -> None:
        self.places = names

    def _resume(self, draft: Draft) -> None:
        held = self.from_draft(draft)
        self.interview = replace(
            strip.with_kind(held, held.value("kind"), self.sitting.record.reference), at=draft.stopped_at
        )
        self.host.say(f'{draft.what}: continued from the draft, at "{draft.stopped_at}".')

    def _next(self) -> None:
        self.go_on()
        self.redraw()
