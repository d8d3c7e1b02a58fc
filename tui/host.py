"""What views, line and acts may call on the screen that holds them.

Views know this protocol, never the frame. Writing is a job of the host: the user may go to another view meanwhile and
still sees the outcome. The host catches and shows a refusal raised in any step of a view.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

if TYPE_CHECKING:
    from inventory.errors import NearName, Refused
    from inventory.labels.codes import CarSideCode
    from tui.acts import Act
    from tui.drafts import Draft
    from tui.questions import Question
    from tui.view import View
    from tui.widgets.line import Line

__all__ = ["Host", "host_of"]

Answer = TypeVar("Answer")


class Host(Protocol):
    """The screen, as views, line and acts see it."""

    line: Line
    waiting_tag: str | None

    @property
    def is_away(self) -> bool:
        """Whether the record was away when it was last asked."""
        ...

    def record_away(self) -> None:
        """Say that the record is away and what waits here; look for it now and then, and at once."""

    @property
    def view(self) -> View:
        """The view in front."""
        ...

    # Navigation.

    def open(self, view: View) -> None:
        """Show a view in front of the others."""

    def replace(self, view: View) -> None:
        """Show a view instead of the one in front."""

    def close(self) -> None:
        """Close the view in front."""

    def go_to(self, name: str, of: str | None = None) -> None:
        """Close all views but Today, and open the named view."""

    def open_part(self, tag: str) -> None:
        """Open a part's card."""

    def do_for_part(self, name: str) -> None:
        """Open the named view for the part in front, if there is one."""

    def do(self, act: Act) -> None:
        """Do an act, or say why it cannot be done."""

    def reason(self, act: Act) -> str:
        """Why an act cannot be done now; "" if it can."""
        ...

    def back(self) -> None:
        """Go one step back."""

    def take_back(self) -> None:
        """Open the view that takes back the user's last act of this sitting."""

    # Messages and questions.

    def say(self, words: str) -> None:
        """Show what just happened, on the message row."""

    def say_refused(self, refused: Refused, *, act: bool = False) -> None:
        """Show a refusal and what to do; for an `act`, also that nothing was changed, if that is true."""

    def confirm(self, question: Question, yes: Callable[[], None]) -> None:
        """Ask a question on the line; Enter is yes, Esc is no."""

    def ask(self, question: Question, answered: Callable[[str], None]) -> None:
        """Ask a question with numbered answers on the line; Esc leaves it unanswered."""

    def ask_name(self, asked: NearName, then: Callable[[str], None]) -> None:
        """Ask which name is meant by one that looks misspelt; the answer holds for this sitting."""

    def show_foot(self) -> None:
        """Update all rows around the view in front."""

    # Keys and scans, in order.

    def take(self, text: str) -> None:
        """Enter was pressed by hand, with this text on the line."""

    def steer(self, key: str) -> None:
        """A key was pressed on an empty line."""

    def press(self, key: str) -> None:
        """A word of the key line was tapped."""

    def line_changed(self, text: str) -> None:
        """The text on the line changed."""

    def tag_read(self, tag: str, *, by_hand: bool) -> None:
        """A whole tag was typed, scanned or pasted."""

    def tag_into_answer(self, tag: str) -> None:
        """A tag was scanned in the middle of an answer."""

    def car_side_read(self, code: CarSideCode) -> None:
        """A label for the car side was typed or scanned."""

    def place_read(self, text: str, *, by_hand: bool) -> None:
        """A text with the form of a place's label was typed or scanned."""

    def unknown_scan(self, text: str) -> None:
        """Text was scanned that is not a tag."""

    def step(self, doing: Callable[[], None]) -> None:
        """Do a step of a view; show a refusal in it."""

    def enqueue(self, doing: Callable[[], None]) -> None:
        """Do a step now, or after the reading or writing in progress."""

    def when_idle(self, then: Callable[[], None]) -> None:
        """Do slow work once no key is pressed for a while."""

    def answered(self, view: View, then: Callable[[], None], problem: Exception | None) -> None:
        """A read for a view ended: do the view's next step, or show the refusal."""

    # Writing.

    def write(
        self,
        view: View,
        job: Callable[[], Answer],
        message_of: Callable[[Answer], str],
        *,
        then: Callable[[Answer], None] | None = None,
        draft: str = "",
    ) -> None:
        """Do one act in the background and show its outcome.

        `message_of` makes the message. The draft with the key `draft` is deleted once the act is written. `then` is the
        view's next step, done only if the view is still open.
        """

    def draft(self, key: str) -> Draft | None:
        """The draft with this key. None if there is none or if it cannot be read; then a message says so."""

    def drafts(self) -> tuple[Draft, ...]:
        """All drafts. None if they cannot be read; then a message says so."""

    def save_draft(self, draft: Draft) -> None:
        """Save a draft. If the disk does not take it, a message says so; the answers stay on the screen."""

    def drop_draft(self, key: str) -> None:
        """Delete a draft."""


def host_of(screen: Any) -> Host:
    """The screen of a widget, typed as a host."""
    host: Host = screen
    return host
