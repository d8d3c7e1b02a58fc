"""The label of a part, shown large: to copy by hand, to print, to put right. Without a part, the next unused tag."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from inventory.errors import Refused
from inventory.labels.big import big_lines
from inventory.labels.label import WHERE_TO_STICK
from inventory.parts.tags import parse
from tui.data import label as data
from tui.questions import Question, chosen
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View

__all__ = ["LabelView"]

_PDF, _WRONG, _SWAP = "print it", "wrong label", "swap with"
_ACTS = (_PDF, _WRONG, _SWAP)


class LabelView(View):
    """The label of one part (`tag`), or the next unused tag."""

    def __init__(self, sitting: Sitting, tag: str | None = None) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._label = data.Shown("", ())
        self._asks = ""
        self._body = Static()

    def compose(self) -> ComposeResult:
        """The large letters, and what is said under them."""
        yield self._body

    def where(self) -> str:
        """The part."""
        return f"Label: {self._tag}" if self._tag else "Label: the next unused one"

    def question(self) -> Question:
        """What to do with it."""
        if self._asks == _WRONG:
            return Question("Scan or type the label that is on the part:")
        if self._asks == _SWAP:
            return Question("Scan or type the label of the other part:")
        if self._tag is None:
            return Question("Write it on a label by hand, and stick it on.", enter="another")
        return Question("Which?", _ACTS)

    def help_text(self) -> tuple[str, ...]:
        """What the acts do."""
        return (
            WHERE_TO_STICK,
            "Print it writes a PDF with this label and those on the car side. Wrong label: the part was recorded under "
            "a label that is not on it; its whole history goes to the label that is, and the old one is free again. "
            "Swap with: two parts were recorded under each other's labels. Ctrl+Z takes either back.",
            "Rolls of unused labels are printed by command: matchmark labels --blank 24 -o FILE.",
        )

    def keys(self) -> tuple[str, ...]:
        """No list to choose in."""
        return ("Enter", "Esc", "Space", "?")

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def opened(self) -> None:
        """Read the label, or draw an unused tag."""
        tag = self._tag
        if tag is None:
            self.read("label", lambda session: data.Shown(data.next_tag(session), ()), self._show)
        else:
            self.read("label", lambda session: data.label_of(session, tag), self._show)

    def back(self) -> bool:
        """From the other label to the choice."""
        asked, self._asks = self._asks, ""
        return bool(asked)

    def take(self, text: str) -> None:
        """Take the choice, or a label that is typed."""
        if self._tag is None:
            self.opened()
        elif self._asks:
            self.host.say_refused(_no_label(text))
        elif (act := chosen(text, _ACTS)) == _PDF:
            record, tag, folder = self.sitting.record, self._tag, self.sitting.folder
            self.work("pdf", lambda: data.write_pdf(record, tag, folder), self._printed)
        elif act is None:
            self.host.say("Type 1, 2 or 3.")
        else:
            self._asks = act

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """The other label: ask whether it is meant."""
        if not self._asks or self._tag is None:
            return False
        old, by, exchanged = self._tag, self.sitting.by, self._asks == _SWAP
        does = data.exchange if exchanged else data.put_right

        def written() -> None:
            self._asks = ""
            self.write(
                lambda session: does(session, by, old, tag),
                lambda now: f"{old} is {now} from now on. Ctrl+Z takes it back.",
                then=lambda now: self.host.go_to("card", now),
            )

        says = f"{old} and {tag} were mixed up?" if exchanged else f"{tag} is on it, not {old}?"
        self.host.confirm(Question(says, enter="yes, Esc no"), written)
        return True

    def was_refused(self, refused: Refused) -> None:
        """A label that another part has: what to do about it here."""
        if refused.code == "label-taken":
            self.host.say(f"{refused.message}. Nothing was changed. If the two were mixed up: 3 swap with.")

    def _printed(self, path: str) -> None:
        self.host.say(f"Written: {path}. Print it at 100 %, and measure the ruler.")

    def _show(self, label: data.Shown) -> None:
        self._label = label
        lines = ["", *big_lines(label.tag), "", *label.says]
        self._body.update(Content("\n").join([shown(line) for line in lines]))


def _no_label(text: str) -> Refused:
    """The refusal for a text that is no tag."""
    try:
        parse(text)
    except Refused as refused:
        return refused
    return Refused("not-a-tag", f'"{text}" is not a tag: tags look like K4127-7')
