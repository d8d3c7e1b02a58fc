"""The first start of a car: its checks in order, each answered with one digit and what was found."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content

from tui.data import first_start as data
from tui.questions import Question, chosen
from tui.safe import plain, shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["FirstStart"]


class FirstStart(View):
    """The checks; the next one is chosen."""

    def __init__(self, sitting: Sitting, car: str) -> None:
        super().__init__(sitting)
        self._car = car
        self._now: data.FirstStart | None = None
        self._rows = RowList(self._draw, choosable=lambda row: isinstance(row, data.StartStep))

    def compose(self) -> ComposeResult:
        """The checks."""
        yield self._rows

    def where(self) -> str:
        """The car."""
        return f"First start: {self._car}"

    def middle(self) -> str:
        """How many checks are done."""
        if self._now is None:
            return ""
        return f"{sum(step.done for step in self._now.steps)} of {len(self._now.steps)} done"

    def question(self) -> Question:
        """How the chosen check came out."""
        step = self._rows.item
        name = step.name if isinstance(step, data.StartStep) else "the check"
        return Question(f"How is it: {name}? What was found may follow:", data.CAME_OUT)

    def care(self) -> str:
        """The worst hazard of what comes next."""
        return data.care_now(self._now) if self._now is not None else ""

    def cautions_in_full(self) -> tuple[str, ...]:
        """All cautions of a first start."""
        return data.cares()

    def help_text(self) -> tuple[str, ...]:
        """How to answer."""
        return (
            "Make the checks in their order. Type 1 or 2, and what was found behind it if you like: 1 dry after five "
            "minutes. What is not good needs its words, and stays open. Each answer is recorded for today, with your "
            "name. Mixture and vacuum count as done once they were measured on the bench. Esc leaves the rest for "
            "later; Today shows it until all is done.",
        )

    def opened(self) -> None:
        """Read how far it is."""
        self.read("start", lambda session: data.first_start_of(session, self._car), self._show)

    def steer(self, key: str) -> None:
        """Choose a check."""
        self._rows.steer(key)
        self._fill(self._rows.cursor)

    def take(self, text: str) -> None:
        """Record how the chosen check came out."""
        step = self._rows.item
        first, _, found = plain(text).strip().partition(" ")
        came_out = chosen(first, data.CAME_OUT) if first else None
        if not isinstance(step, data.StartStep) or self._now is None:
            return
        if came_out is None:
            self.host.say("Type 1 good or 2 not good, and what was found: 2 drops at injector 2.")
            return
        if came_out == data.CAME_OUT[1] and not found.strip():
            self.host.say("Say what is not good: 2 drops at injector 2.")
            return
        before = self._now.before(step.name)
        early = f" Not done before it: {', '.join(before)}." if before else ""
        by, car, name = self.sitting.by, self._car, step.name
        self.write(
            lambda session: data.answer(session, by, car, name, came_out, found.strip()),
            lambda _: f"{name}: {came_out}.{early} Ctrl+Z takes it back.",
            then=self._show,
        )

    def _show(self, now: data.FirstStart | None) -> None:
        self._now = now
        self._fill(None)

    def on_resize(self) -> None:
        """Wrap the text at the new width."""
        self.call_after_refresh(lambda: self._fill(self._rows.cursor))

    def _fill(self, cursor: int | None) -> None:
        """The checks, and the chosen one in full; without a cursor the next one is chosen."""
        now = self._now
        if now is None:
            self._rows.fill(Fixed([shown("Nothing came off this car here, so there is no first start to check.")]))
            return
        head = [shown(f"Not yet: still off: {'; '.join(now.off)}", "bold")] if now.off else []
        if cursor is None:
            cursor = len(head) + (now.steps.index(now.next) if now.next is not None else 0)
        place = min(max(cursor - len(head), 0), len(now.steps) - 1)
        step = now.steps[place]
        more = [step.says, f'By command: matchmark bench run "{step.run}" "{now.car}"' if step.run else ""]
        width = max(self.size.width - 4, 30)
        lines = [Content(""), *(line for each in more if each for line in shown(each).wrap(width))]
        self._rows.fill(Fixed([*head, *now.steps, *lines]), cursor=len(head) + place)
        self.host.show_foot()

    def _draw(self, row: object, width: int) -> Content:
        if not isinstance(row, data.StartStep):
            return row if isinstance(row, Content) else Content("")
        if row.done or row.state == "not good":
            found = f": {row.found}" if row.found else ""
            return Content.assemble(shown(f"{row.name:<13}"), shown(f"{row.state}{found}, {row.on}", "$text-muted"))
        return Content.assemble(shown(f"{row.name:<13}"), shown(row.says))
