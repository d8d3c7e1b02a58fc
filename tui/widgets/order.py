"""The board of a refit: the order and what waits on the left, the chosen step on the right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Static

from inventory.reference.data import Reference
from inventory.refit.jobs import JobLine
from inventory.refit.plan import Step
from tui.data.refit import RefitState, key_of
from tui.safe import crop, hanging, shown
from tui.ticks import Tick
from tui.widgets.rows import Fixed, RowList
from tui.widgets.step import job_rows, line_name, state_of, step_rows, waits_rows, why_rows

__all__ = ["OrderBoard", "Pane"]

_HELD = " ticks are held, nothing written yet"
_STATE = 16
Pane = Literal["", "why", "buy"]


class OrderBoard(Horizontal):
    """The body of Refit. It only shows; the view decides."""

    DEFAULT_CSS = """
    OrderBoard { height: 1fr; }
    OrderBoard .halves { width: 37; height: 1fr; }
    OrderBoard .form { width: 1fr; height: 1fr; }
    OrderBoard .title { height: 1; text-style: bold; text-wrap: nowrap; text-overflow: ellipsis; }
    OrderBoard .order { height: 3fr; }
    OrderBoard .waits { height: 2fr; }
    OrderBoard .legend { height: 1; color: $text-muted; }
    """

    def __init__(self, reference: Reference) -> None:
        super().__init__()
        self.order = RowList(self._draw, classes="order")
        self.waits = RowList(_as_is, classes="waits")
        self.waits.steered = False
        self.form = RowList(_as_is)
        self.form.steered = False
        self._reference = reference
        self._title = Static(classes="title")
        self._legend = Static(classes="legend")
        self._why = Static(classes="why")
        self._state: RefitState | None = None
        self._held: Mapping[str, Tick] = {}

    def compose(self) -> ComposeResult:
        """Lists, the step, and the reasons if there is room."""
        with Vertical(classes="halves"):
            yield Static(Content(" ORDER"), classes="title")
            yield self.order
            yield Static(Content(" WAITS FOR"), classes="title")
            yield self.waits
        yield Static(Content("\n".join("\N{BOX DRAWINGS LIGHT VERTICAL}" * 200)), classes="upright between")
        with Vertical(classes="form"):
            yield self._title
            yield self.form
            yield self._legend
        yield self._why

    @property
    def chosen(self) -> Step | JobLine | None:
        """The chosen line."""
        item = self.order.item
        return item if isinstance(item, Step | JobLine) else None

    def put(self, state: RefitState, held: Mapping[str, Tick], at: int, pane: Pane, beside: Sequence[str]) -> None:
        """Show the plan with its ticks, and the line at this place; or its reasons, or what stands in `beside`."""
        self._state, self._held = state, held
        self.order.fill(Fixed(state.lines), cursor=at)
        line = self.chosen
        self.waits.fill(Fixed(waits_rows(state, line, held, self.waits.size.width - 3)))
        self._legend.update(Content(_HELD if any(tick.at for tick in held.values()) else ""))
        title, rows = self._right(line, pane, beside, max(self.form.size.width - 3, 20))
        self._title.update(shown(f" {title}"))
        self.form.fill(Fixed(rows), cursor=self.form.cursor)
        reasons = self._reasons(line, max(self._why.size.width - 2, 30))
        self._why.update(Content("\n").join([shown("Why", "bold"), Content(""), *reasons]))

    def _right(
        self, line: Step | JobLine | None, pane: Pane, beside: Sequence[str], width: int
    ) -> tuple[str, Sequence[Content]]:
        """The title and the rows of the right half."""
        if pane == "buy" or line is None or self._state is None:
            return ("WHAT TO BUY" if pane else "", [row for each in beside for row in hanging("  ", each, width)])
        if isinstance(line, JobLine):
            return "JOB", job_rows(line, width)
        title = f"STEP {line.order}   {line.tag or 'no part'}   {line.kind or ''}"
        if pane == "why":
            return f"WHY, {title}", self._reasons(line, width)
        return title, step_rows(self._state, line, self._held.get(key_of(line), Tick()), self._reference, width)

    def _reasons(self, line: Step | JobLine | None, width: int) -> list[Content]:
        return why_rows(line, self._state.readiness(line), width) if isinstance(line, Step) and self._state else []

    def _draw(self, row: object, width: int) -> Content:
        if self._state is None or not isinstance(row, Step | JobLine):
            return Content("")
        number = f"{row.order:>2}" if isinstance(row, Step) else "  "
        name, state = line_name(self._state, row), state_of(self._state, row, self._held)
        room = width - 4 - (_STATE if len(name) <= width - 4 - _STATE else len(state))
        return shown(f"{number} {crop(name, max(room, 8))} {state}")


def _as_is(row: object, _: int) -> Content:
    return row if isinstance(row, Content) else Content("")
