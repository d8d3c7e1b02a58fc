"""Worth: totals of today, what is due, what lacks proof, the dearest first; should I buy it; offers seen."""

from __future__ import annotations

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.content import Content

from inventory.money import BASES
from tui.data import worth as data
from tui.questions import Question, chosen
from tui.safe import hanging, shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

__all__ = ["Worth"]

#: What takes longer than this says that it is being done. Seconds.
_SILENT_S = 0.3


@dataclass(frozen=True)
class _Line:
    """A line that cannot be opened."""

    text: Content


@dataclass(frozen=True)
class _Opens:
    """A numbered line that opens a view."""

    view: str
    says: str


class Worth(View):
    """What the parts in the house are worth."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._basis = "market"
        self._found: data.Overview | None = None
        self._rows = RowList(self._draw, choosable=lambda row: not isinstance(row, _Line))

    def compose(self) -> ComposeResult:
        """One list."""
        yield self._rows

    def where(self) -> str:
        """The basis."""
        return f"Worth: {self._basis} value"

    def question(self) -> Question:
        """A number, a part, a basis, or what to buy."""
        return Question("Number, basis, or buy:", enter="opens the chosen line")

    def keys(self) -> tuple[str, ...]:
        """The list."""
        return ("Enter", "Esc", "Up", "Down", "Space", "?")

    def help_text(self) -> tuple[str, ...]:
        """What is counted, and how a value is noted."""
        return (
            "The totals are those of a condition list of today: our own parts that are here, loose or on a car that is "
            "not insured whole. What is on a car insured whole, held for others, away or only proposed stands apart "
            "and is never added to it. Type another basis (replacement, agreed, ...) to see its totals.",
            "Then what has no value or an old one, and all that has one, dearest first, with what is missing as proof: "
            "a paper, a picture, a serial. Enter on a part opens its card at Worth, where a value is noted: amount, "
            "currency, basis, source. A value of two parts as one pair, or with the insurer's paper: matchmark value "
            "note --with, --document.",
            "Should I buy it? judges an offer before you pay (type buy). Prices asked are no values and on no list.",
        )

    def part_tag(self) -> str | None:
        """The part of the chosen line."""
        item = self._rows.item
        return item.tag if isinstance(item, data.PartWorth) else None

    def opened(self) -> None:
        """Add up."""
        self._read(self._basis)

    def take(self, text: str) -> None:
        """Open a line, show another basis, or begin with an offer."""
        words = text.strip()
        doors = [row for row in self._rows_now() if isinstance(row, _Opens)]
        if not words:
            self._open(self._rows.item)
        elif words.isdecimal() and 1 <= int(words) <= len(doors):
            self._open(doors[int(words) - 1])
        elif words.casefold() == "buy":
            self._open(doors[0])
        elif not words.isdecimal() and (basis := chosen(words, BASES)) is not None:
            self._read(basis)
        else:
            self.host.say(f'"{words}" is no number here and no basis of value: {", ".join(BASES)}.')

    def steer(self, key: str) -> None:
        """Choose; Right opens the line."""
        if key == "right":
            self._open(self._rows.item)
        elif key == "left":
            self.host.back()
        else:
            self._rows.steer(key)

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap opens the line."""
        if event.again:
            self._open(self._rows.item)

    def on_resize(self) -> None:
        """Wrap the lines at the new width."""
        self.call_after_refresh(self._fill)

    def _open(self, item: object) -> None:
        if isinstance(item, data.PartWorth):
            self.host.open(make_view("worth card", self.sitting, item.tag))
        elif isinstance(item, _Opens):
            self.host.open(make_view(item.view, self.sitting))

    def _read(self, basis: str) -> None:
        busy = self.set_timer(_SILENT_S, lambda: self.host.say("Adding up"))

        def show(found: data.Overview) -> None:
            busy.stop()
            self.host.say("")
            self._found, self._basis = found, basis
            self._fill()

        self.read("worth", lambda session: data.overview(session, basis), show)

    def _fill(self) -> None:
        self._rows.fill(Fixed(self._rows_now()), cursor=self._rows.cursor)
        self.host.show_foot()

    def _rows_now(self) -> list[object]:
        offers = self._found.offers if self._found is not None else ""
        doors = [_Opens("offer", "Should I buy it?"), _Opens("offers seen", f"Offers seen: {offers}")]
        found = self._found
        if found is None:
            return [*doors]
        rows: list[object] = [*self._wrapped(f"Totals on the basis: {found.basis}", "bold")]
        for line in found.totals:
            rows += self._wrapped(line)
        rows += [_Line(Content("")), *doors]
        for heading, parts in ((found.due_heading, found.due), (found.dearest_heading, found.dearest)):
            rows += [_Line(Content("")), *self._wrapped(heading, "bold"), *parts]
        return rows

    def _wrapped(self, says: str, style: str = "") -> list[_Line]:
        width = (self._rows.size.width or self.screen.size.width) - 3
        lead = "" if style else "  "
        return [_Line(line.stylize(style) if style else line) for line in hanging(lead, says, width)]

    def _draw(self, row: object, _: int) -> Content:
        if isinstance(row, _Line):
            return row.text
        if isinstance(row, _Opens):
            return shown(numbered(1 if row.view == "offer" else 2, row.says))
        return shown(f"   {row.says}") if isinstance(row, data.PartWorth) else Content("")
