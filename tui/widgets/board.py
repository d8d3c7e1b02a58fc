"""The board of a strip-down: what is still on and what came off on the left, the part's form on the right."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Static

from inventory.cars.queries import PositionView
from inventory.store.words.text import fold
from inventory.teardown.queries import Removed
from tui.data.strip import StripDownState
from tui.interview import Interview
from tui.safe import crop, shown
from tui.widgets.form import EXPLAINED, form_rows, label_rows
from tui.widgets.rows import Fixed, RowList

__all__ = ["Board"]

_LEGEND = " = taken over, looked at  + typed by you\n > asked now    . still to come"
#: What stands in place of the list of a car of which nothing is listed.
_NOTHING_LISTED = ("Nothing is listed for this car.", "Type list to say what belongs", "on it, or go on.")


class Board(Horizontal):
    """The body of Strip. It only shows; the view decides."""

    DEFAULT_CSS = """
    Board { height: 1fr; }
    Board .halves { width: 37; height: 1fr; }
    Board .form { width: 1fr; height: 1fr; }
    Board .title { height: 1; text-style: bold; text-wrap: nowrap; text-overflow: ellipsis; }
    Board .on { height: 3fr; }
    Board .off { height: 2fr; }
    Board .legend { height: 2; color: $text-muted; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.on = RowList(self._draw_on, choosable=lambda row: isinstance(row, PositionView), classes="on")
        self.off = RowList(_draw_off, classes="off")
        self.off.steered = False
        self._form = RowList(lambda row, _: row if isinstance(row, Content) else Content(""))
        self._form.steered = False
        self._standing: StripDownState | None = None
        self._form_title = Static(classes="title")
        self._why = Static(classes="why")

    def compose(self) -> ComposeResult:
        """Lists, form, and the explanation if there is room."""
        with Vertical(classes="halves"):
            yield Static(Content(" STILL ON, in the list's order"), classes="title")
            yield self.on
            yield Static(Content(" CAME OFF, newest first"), classes="title")
            yield self.off
        yield Static(Content("\n".join("\N{BOX DRAWINGS LIGHT VERTICAL}" * 200)), classes="upright between")
        with Vertical(classes="form"):
            yield self._form_title
            yield self._form
            yield Static(Content(_LEGEND), classes="legend")
        yield self._why

    def narrowed(self, words: str) -> tuple[PositionView, ...]:
        """The positions still on that contain every word."""
        views = self._standing.still_on if self._standing else ()
        sought = [fold(word) for word in words.split()]
        return tuple(view for view in views if all(word in fold(f"{view.kind or ''}, {view.name}") for word in sought))

    def numbered(self, number: int) -> PositionView | None:
        """The position still on with this number."""
        views = self.narrowed("")
        return views[number - 1] if 1 <= number <= len(views) else None

    @property
    def chosen(self) -> PositionView | None:
        """The chosen position."""
        item = self.on.item
        return item if isinstance(item, PositionView) else None

    def put(
        self,
        state: StripDownState | None,
        interview: Interview | None,
        words: str,
        label_to_write: str,
        instead: Sequence[str] = (),
    ) -> None:
        """Show the state of the strip-down, and the part being logged. `instead`: lines in the form's place."""
        self._standing = state
        asked = interview is not None and interview.at in ("label", "position")
        self.on.steered = asked
        self.narrow(words if interview is not None and interview.at == "position" else "")
        if state is not None:
            stays = tuple(f"{name} stays on: {why}" for name, why in state.stays)
            self.off.fill(Fixed((*state.came_off, *stays)))
        self._put_form(interview, label_to_write, instead)

    def narrow(self, words: str) -> None:
        """Show only the positions that contain every word."""
        views = self.narrowed(words)
        if self._standing is not None and not self._standing.positions:
            self.on.fill(Fixed([Content(each) for each in _NOTHING_LISTED]))
            return
        self.on.fill(Fixed(views), cursor=self.on.cursor if self.on.cursor < len(views) else 0)

    def _put_form(self, interview: Interview | None, label_to_write: str, instead: Sequence[str]) -> None:
        if interview is None or self._standing is None:
            self._form_title.update("")
            self._form.fill(Fixed())
            return
        label = interview.value("label")
        number = self._standing.shown
        self._form_title.update(shown(f" PART {number}          {f'label {label}' if label else 'no label yet'}"))
        if label_to_write:
            self._form.fill(Fixed(label_rows(label_to_write)))
        elif instead:
            self._form.fill(Fixed([shown(crop(line, self._form.size.width - 3)) for line in instead]))
        else:
            rows, at = form_rows(interview, self._form.size.width - 3)
            self._form.fill(Fixed(rows), cursor=at)
        ask = interview.ask()
        explained = shown(EXPLAINED.get(ask.key, "")).wrap(max(self._why.size.width - 1, 30))
        self._why.update(Content("\n").join([shown(ask.words, "bold"), Content(""), *explained]))

    def _draw_on(self, row: object, width: int) -> Content:
        if not isinstance(row, PositionView):
            return row if isinstance(row, Content) else Content("")
        number = self.narrowed("").index(row) + 1
        kind = "" if not row.kind or fold(row.kind) in fold(row.name) else f"{row.kind}, "
        return shown(crop(f"{number:>2} {kind}{row.name}", width))


def _draw_off(row: object, width: int) -> Content:
    if isinstance(row, Removed):
        return shown(crop(f"{row.shown:>2} {row.tag} {row.kind or 'part'}, {row.position or ''}", width))
    return shown(crop(f"   {row}", width))
