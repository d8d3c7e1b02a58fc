"""What the views, the line and the acts may ask of the screen that holds them.

Views know this protocol, never the frame. What a view writes is a job of the host: it ends, and is told, wherever the
person has gone meanwhile. A refusal raised in any step of a view is caught and told by the host.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

if TYPE_CHECKING:
    from inventory.errors import Refused
    from tui.acts import Act
    from tui.drafts import Draft
    from tui.questions import Question
    from tui.view import View
    from tui.widgets.line import Line

__all__ = ["Host", "host_of"]

Answer = TypeVar("Answer")


class Host(Protocol):
    """The screen as its parts see it."""

    line: Line
    waiting_tag: str | None

    @property
    def view(self) -> View:
        """The view in front."""
        ...

    # Going about.

    def open(self, view: View) -> None:
        """Put a view in front."""

    def replace(self, view: View) -> None:
        """Put a view in the place of the one in front."""

    def close(self) -> None:
        """Take the view in front away."""

    def go_to(self, name: str, of: str | None = None) -> None:
        """Go to one of the places that Space offers."""

    def open_part(self, tag: str) -> None:
        """Go to a part's card."""

    def do_for_part(self, name: str) -> None:
        """Do something to the part in front."""

    def do(self, act: Act) -> None:
        """Do an act, or say why not."""

    def reason(self, act: Act) -> str:
        """Why an act cannot be done now, or nothing."""
        ...

    def back(self) -> None:
        """One step back."""

    def take_back(self) -> None:
        """Take back my last act of this sitting."""

    # Telling and asking.

    def say(self, words: str) -> None:
        """What just happened."""

    def say_refused(self, refused: Refused, *, act: bool = False) -> None:
        """A refusal and what to do; of an `act` also that nothing was changed, where that is so."""

    def confirm(self, question: Question, yes: Callable[[], None]) -> None:
        """Ask on the line; Enter is yes, Esc is no."""

    def show_foot(self) -> None:
        """Bring all rows but the body up to the view in front."""

    # Keys and scans, in their order.

    def take(self, text: str) -> None:
        """Enter of a hand."""

    def steer(self, key: str) -> None:
        """A key on an empty line."""

    def press(self, key: str) -> None:
        """A tap on a word of the key line."""

    def line_changed(self, text: str) -> None:
        """What stands on the line changed."""

    def tag_read(self, tag: str, *, by_hand: bool) -> None:
        """A whole tag was typed, scanned or pasted."""

    def tag_into_answer(self, tag: str) -> None:
        """A tag was scanned in the middle of an answer."""

    def unknown_scan(self, text: str) -> None:
        """A scan that is no tag."""

    def step(self, doing: Callable[[], None]) -> None:
        """Do a step of a view; a refusal in it is told."""

    def in_turn(self, doing: Callable[[], None]) -> None:
        """Do a step now, or when what it acts on has been read or written."""

    def at_rest(self, then: Callable[[], None]) -> None:
        """Do something that takes its time, once the hand rests."""

    def answered(self, view: View, then: Callable[[], None], problem: Exception | None) -> None:
        """An answer of the record came back to a view: its next step, or what it was refused."""

    # Writing.

    def write(
        self,
        view: View,
        job: Callable[[], Answer],
        told: Callable[[Answer], str],
        *,
        then: Callable[[Answer], None] | None = None,
        draft: str = "",
    ) -> None:
        """Do one act in the background and tell its outcome.

        `told` gives the sentence; the draft of key `draft` is dropped once the act is written; `then` is the view's
        next step, taken only where the view still stands.
        """

    def draft(self, key: str) -> Draft | None:
        """What was begun under a key; None, said, where it cannot be read."""

    def drafts(self) -> tuple[Draft, ...]:
        """All that was begun; none, said, where it cannot be read."""

    def keep(self, draft: Draft) -> None:
        """Keep a draft; said where the disk does not take it, and the answers stay on the screen."""

    def drop(self, key: str) -> None:
        """Remove a draft."""


def host_of(screen: Any) -> Host:
    """The screen of a widget, as the host that it is."""
    host: Host = screen
    return host
