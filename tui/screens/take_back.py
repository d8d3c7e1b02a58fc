"""Take back the user's last act of this sitting: shows the act, then Enter takes it back."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content

from tui.data.undo import LastAct, last_of, take_back_act
from tui.questions import NO, Question, agreed
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["TakeBack"]


class TakeBack(View):
    """What would be taken back. Taking back can itself be taken back."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._act: LastAct | None = None
        self._rows = RowList(lambda line, _: line if isinstance(line, Content) else shown(line))
        self._rows.steered = False

    def compose(self) -> ComposeResult:
        """The facts of the act."""
        yield self._rows

    def where(self) -> str:
        """The view's name."""
        return "Take back"

    def question(self) -> Question:
        """Enter takes back; a reason may be typed."""
        if self._act is None:
            return Question("Esc goes back:")
        return Question("Take this back? Enter yes, Esc no; or type the reason:")

    def help_text(self) -> tuple[str, ...]:
        """What taking back does."""
        return (
            "Nothing is deleted. The facts stay in the log, marked as taken back, with your name and the reason, and "
            "no longer count. Here you can take back your own acts of this sitting. For older acts and those of "
            "others, use Amend on the part's card.",
        )

    def opened(self) -> None:
        """Read the last act."""
        by, acts = self.sitting.by, self.sitting.acts
        self.read("last act", lambda session: last_of(session, by, acts), self._show)

    def take(self, text: str) -> None:
        """Take it back."""
        act = self._act
        if act is None:
            self.host.close()
            return
        meant = agreed(text)
        if meant == NO:
            self.host.close()
            self.host.say("Nothing was changed.")
            return
        by, reason = self.sitting.by, "taken back at once" if meant else text.strip()
        self.write(
            lambda session: take_back_act(session, by, act.key, reason),
            lambda _: f"Taken back: {act.says}. It stays in the log. Ctrl+Z restores it.",
            then=lambda _: self.host.close(),
        )

    def _show(self, act: LastAct | None) -> None:
        self._act = act
        if act is None:
            self.host.close()
            self.host.say("You have nothing left to take back in this sitting.")
            return
        heading = Content.assemble(("Take back: ", "bold"), shown(f"{act.says}, {act.at}?"))
        heads = "Judgements that rest on it:" if act.resting else "No judgement rests on it."
        resting = [heads, *(f"  {line}" for line in act.resting)]
        self._rows.fill(Fixed([heading, "", *(f"  {line}" for line in act.facts), "", *resting]))
