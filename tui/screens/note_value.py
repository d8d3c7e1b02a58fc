"""Note a value of a part: amount, currency, basis, source; Enter takes what was noted last."""

from __future__ import annotations

import re

from textual.app import ComposeResult
from textual.content import Content

from inventory.errors import Refused
from inventory.money import BASES, checked_amount, checked_currency
from tui.data import worth as data
from tui.questions import Question, chosen
from tui.safe import hanging, shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["NoteValue"]

_ASKED = ("amount", "currency", "basis", "source")
_AMOUNT_WITH_CURRENCY = re.compile(r"(.*[0-9])\s*([A-Za-z]{3})|([A-Za-z]{3})\s*([0-9].*)")


class NoteValue(View):
    """Four questions; the last answer records the value."""

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._last = data.LastValue((), "", "market", "")
        self._answers: dict[str, str] = {}
        self._rows = RowList(lambda line, _: line if isinstance(line, Content) else Content(""))
        self._rows.steered = False

    def compose(self) -> ComposeResult:
        """The answers, and the values so far."""
        yield self._rows

    def where(self) -> str:
        """The part."""
        return f"Note a value: {self._tag}"

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def keys(self) -> tuple[str, ...]:
        """Nothing is chosen here."""
        return ("Enter", "Esc", "Space", "?")

    def question(self) -> Question:
        """The open question."""
        match self._at:
            case "amount":
                return Question("Amount, for example 850 or 850 EUR:")
            case "currency":
                return Question("Currency, three letters:", enter=self._last.currency)
            case "basis":
                return Question("Basis, by number or word:", enter=self._last.basis)
            case _:
                return Question("Who says so, or from where?", enter=self._last.source or "not said")

    def help_text(self) -> tuple[str, ...]:
        """What the words mean."""
        return (
            "A value is what somebody states, with its basis and the day: market (what such a part fetches), "
            "replacement (what another costs), purchase price, repair cost, exchange core, agreed (with the insurer). "
            "Agreed without the insurer's own paper counts as proposed; with it: matchmark value note --document.",
            "Values of before stay on record; a list takes the last one of its basis. An amount of two parts as one "
            "pair: matchmark value note TAG --with TAG2.",
        )

    def opened(self) -> None:
        """Read the values so far."""
        tag = self._tag
        self.read("last value", lambda session: data.last_value(session, tag), self._show)

    def back(self) -> bool:
        """The question before."""
        if not self._answers:
            return False
        self._answers.popitem()
        self._fill()
        return True

    def take(self, text: str) -> None:
        """An answer; the last one records the value."""
        words = text.strip()
        match self._at:
            case "amount":
                self._take_amount(words)
            case "currency":
                self._take_currency(words or self._last.currency)
            case "basis":
                self._take_basis(words or self._last.basis)
            case _:
                self._note(words or self._last.source)
        self._fill()

    def was_refused(self, refused: Refused) -> None:
        """The answers stay."""
        self._fill()

    def on_resize(self) -> None:
        """Wrap at the new width."""
        self.call_after_refresh(self._fill)

    @property
    def _at(self) -> str:
        return _ASKED[min(len(self._answers), len(_ASKED) - 1)]

    def _take_amount(self, words: str) -> None:
        both = _AMOUNT_WITH_CURRENCY.fullmatch(words)
        amount, currency = (both[1] or both[4], both[2] or both[3]) if both else (words, "")
        if not any(sign.isdecimal() for sign in amount):
            self.host.say("Type the amount in digits; Esc goes back and notes nothing.")
            return
        self._answers["amount"] = amount
        if currency:
            self._take_currency(currency)

    def _take_currency(self, words: str) -> None:
        if not words:
            self.host.say("Type the three letters of the currency, for example EUR.")
            return
        amount = self._answers["amount"]
        try:
            self._answers["currency"] = checked_currency(words)
            checked_amount(amount, words)
        except Refused:
            self._answers = {"amount": amount}
            raise

    def _take_basis(self, words: str) -> None:
        basis = chosen(words, BASES)
        if basis is None:
            self.host.say(f'"{words}" is none of: {", ".join(BASES)}.')
        else:
            self._answers["basis"] = basis

    def _note(self, source: str) -> None:
        by, tag, said = self.sitting.by, self._tag, dict(self._answers)

        self.write(
            lambda session: data.note(session, by, tag, said["amount"], said["currency"], said["basis"], source),
            lambda noted: f"{noted}. Ctrl+Z takes it back.",
            then=lambda _: self.host.close(),
        )

    def _show(self, last: data.LastValue) -> None:
        self._last = last
        self._fill()

    def _fill(self) -> None:
        width = max(self._rows.size.width - 3, 30)
        lines = [shown(f"{name:<10}{self._answers.get(name, '?' if name == self._at else '')}") for name in _ASKED]
        if self._at == "basis":
            lines += [Content(""), *(shown(f"  {place} {basis}") for place, basis in enumerate(BASES, 1))]
        lines += [Content(""), shown("Noted so far", "bold")]
        for each in self._last.noted or ('nothing. A list will say "no value stated", never 0.',):
            lines += hanging("  ", each, width)
        self._rows.fill(Fixed(lines))
        self.host.show_foot()
