"""Should I buy it? Questions about the offer, and its appraisal from the answers so far."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from tui.data import offered as data
from tui.offer import QUESTIONS, OfferAnswers
from tui.questions import Question, chosen
from tui.safe import plain, shown
from tui.sitting import Sitting
from tui.view import View

__all__ = ["Offered"]


class Offered(View):
    """One offer. It is recorded only if it is kept; leaving the view forgets it."""

    DEFAULT_CSS = "Offered > VerticalScroll { height: 1fr; padding: 0 0 0 1; scrollbar-size-vertical: 1; }"

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._asked = OfferAnswers()
        self._found: data.Appraised | None = None
        self._message = False
        self._steps = 0
        self._body = Static()
        self._scroll = VerticalScroll(can_focus=False)

    def compose(self) -> ComposeResult:
        """The answers, and the appraisal."""
        with self._scroll:
            yield self._body

    def where(self) -> str:
        """The view's question."""
        return "Should I buy it?"

    def question(self) -> Question:
        """The open question."""
        asked = self._asked.question
        if asked is None:
            enter = "hides the message" if self._message else "shows the message"
            return Question("All answered. Keep it? Type keep.", enter=enter)
        held = self._asked.answers.get(asked.key)
        enter = f"keeps {held[-1]}" if held and not asked.several else asked.enter
        return Question(asked.words, enter=enter)

    def help_text(self) -> tuple[str, ...]:
        """How an offer is appraised."""
        return (
            "The highest sensible price follows from what a good one is worth to you, what a bad one is worth as it is "
            "or after a repair, and how likely this one is good. If a test is worth more than it costs, it is named "
            "first: ask for it before you buy. Right shows the reasons one by one.",
            "Type what the seller says word for word, with the proof after =: tested; hold passed=film; runs well. "
            "Seals too: cap=intact if the seller says so, cap=intact=picture if a picture shows it.",
            "Nothing here is recorded, unless you type keep after the last question (see matchmark offers). When the "
            "seller has answered, go through the questions again and add the answers.",
        )

    def opened(self) -> None:
        """Show the first question."""
        self._judge()

    def on_resize(self) -> None:
        """Redraw at the new width."""
        self.call_after_refresh(self._draw)

    def take(self, text: str) -> None:
        """An answer; after the last, Enter shows the message for the seller."""
        words = plain(text).strip()
        asked = self._asked.question
        if asked is None and words.casefold() == "keep":
            by, answers, reference = self.sitting.by, self._asked, self.sitting.record.reference
            self.write(lambda session: data.keep(session, by, answers, reference), lambda fact: f"Kept as {fact}.")
            return
        if asked is None:
            self._message = not self._message and bool(self._found and self._found.message)
            if not (self._found and self._found.message):
                self.host.say("Nothing is left to ask the seller.")
            self._draw()
            return
        if asked.key == "kind" and words:
            words = chosen(words, data.kind_names(self.sitting.record.reference)) or words
        if asked.key == "returnable" and words:
            words = chosen(words, ("yes", "no")) or "no"
        if not words and asked.needed and not self._asked.answers.get(asked.key):
            self.host.say("Answer this first: the appraisal needs it.")
            return
        answers = self._asked.answered(words)
        if refused := data.refusal(answers, self.sitting.record.reference):
            self.host.line.put(words)
            self.host.say_refused(refused)
            return
        self._asked = answers
        self._judge()

    def steer(self, key: str) -> None:
        """Right and Left show and hide reasons; Up and Down scroll."""
        if key in ("right", "left") and self._found is not None:
            if key == "left" and not self._steps:
                self.host.back()
                return
            self._steps = min(max(self._steps + (1 if key == "right" else -1), 0), len(self._found.reasons))
            self._draw()
            self.call_after_refresh(self._scroll.scroll_end, animate=False)
        elif key in ("up", "down", "pageup", "pagedown"):
            step = max(self._scroll.size.height - 1, 1) if key.startswith("page") else 1
            self._scroll.scroll_relative(y=-step if key in ("up", "pageup") else step, animate=False)

    def back(self) -> bool:
        """The question before."""
        before = self._asked.back()
        if before is None:
            return False
        self._asked, self._message = before, False
        self._judge()
        return True

    def _judge(self) -> None:
        asked = self._asked
        reference = self.sitting.record.reference
        self.read("offered", lambda _: data.appraised(asked, reference), self._show)
        self._draw()

    def _show(self, found: data.Appraised | None) -> None:
        self._found, self._steps = found, 0
        self._draw()

    def _draw(self) -> None:
        width = max(self.size.width - 4, 30)
        if self._message and self._found is not None:
            lines = [shown("Message for the seller, to copy:", "bold"), Content("")]
            for line in self._found.message.splitlines():
                lines += shown(line).wrap(width) or [Content("")]
            self._body.update(Content("\n").join(lines))
            return
        lines = self._answer_lines(width)
        if self._found is not None:
            lines += [Content(""), *(part.stylize("bold") for part in shown(self._found.says).wrap(width))]
            for line in self._found.lines:
                lines += [Content("  ") + part for part in shown(line).wrap(width - 2)]
            for name, then in self._found.ask:
                lines += [Content("  ") + part for part in shown(f"ask for {name}: {then}").wrap(width - 2)]
            for reason in self._found.reasons[: self._steps]:
                lines += [Content(""), *(part for line in reason for part in shown(line).wrap(width))]
        self._body.update(Content("\n").join(lines))

    def _answer_lines(self, width: int) -> list[Content]:
        """The answers so far and the open question; unanswered questions are not shown."""
        lines = []
        for place, each in enumerate(QUESTIONS):
            held = self._asked.answers.get(each.key, ())
            if held or place == self._asked.at:
                mark = ">" if place == self._asked.at else " "
                lines += shown(f"{mark} {each.name:<10}{'; '.join(held) or '?'}").wrap(width)
        return lines
