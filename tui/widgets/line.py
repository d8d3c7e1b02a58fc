"""The line at the foot: all typing lands here. Empty, its keys steer; with text on it, they edit it."""

from __future__ import annotations

from textual import events
from textual.widgets import Input

from inventory.parts.tags import is_tag
from tui.host import Host, host_of
from tui.scan import Strokes, confirms, is_repeat, tag_in_answer

__all__ = ["Line"]

_ENDINGS = frozenset({"enter", "ctrl+j", "ctrl+m"})
_ALWAYS_STEER = frozenset({"up", "down", "pageup", "pagedown", "shift+tab"})
_STEER_WHEN_EMPTY = frozenset({"left", "right", "home", "end", "backspace", "space", "question_mark"})


class Line(Input):
    """One line that holds what is typed and tells the host, in the order of the keys."""

    def __init__(self) -> None:
        super().__init__(id="line", compact=True, select_on_focus=False)
        self.cursor_blink = False
        self.strokes = Strokes()
        self._last_ending: float | None = None
        self._quiet = False

    @property
    def host(self) -> Host:
        """The screen this line is the foot of."""
        return host_of(self.screen)

    def put(self, text: str) -> None:
        """Put a text on the line, as if nobody had typed it."""
        self.strokes.forget()
        self.value = text
        self.cursor_position = len(text)

    def watch_value(self, value: str) -> None:
        """Tell the host at once: what it shows never lags behind what is typed."""
        if not value:
            self.strokes.forget()
        if self.is_attached and not self._quiet:
            self.host.line_changed(value)

    async def _on_key(self, event: events.Key) -> None:
        key = event.key
        if self.host.waiting_tag and key == "left":
            self._halt(event)
            self.put(f"{self.value} {self.host.waiting_tag}")
            self.host.waiting_tag = None
            return
        if key not in _ENDINGS:
            self.host.waiting_tag = None
        if key in _ENDINGS or (key == "tab" and self.value and not confirms(self.strokes.last, event.time)):
            self._halt(event)
            self._ended(event.time)
        elif key == "escape":
            self._halt(event)
            self._escape()
        elif key == "ctrl+z":
            self._halt(event)
            self.host.take_back()
        elif key in _ALWAYS_STEER or key == "tab" or (not self.value and key in _STEER_WHEN_EMPTY):
            self._halt(event)
            self.host.steer("escape" if key == "backspace" else key)
        elif event.is_printable and self.cursor_position == len(self.value):
            self.strokes.typed(event.time)
        else:
            self.strokes.forget()

    def _on_paste(self, event: events.Paste) -> None:
        at_end = self.cursor_position == len(self.value)
        pasted = (event.text.splitlines() or [""])[0]
        if at_end:
            self.strokes.typed(event.time, len(pasted))
        else:
            self.strokes.forget()

    def _halt(self, event: events.Key) -> None:
        event.stop()
        event.prevent_default()

    def _escape(self) -> None:
        if self.value:
            self.put("")
        else:
            self.host.back()

    def empty(self) -> None:
        """Empty the line without telling: what stood there is taken, not taken away."""
        self._quiet = True
        self.put("")
        self._quiet = False

    def press_enter(self) -> None:
        """Take what stands on the line, as pressed by a hand (a tap on the word Enter)."""
        text = self.value
        self.empty()
        self.host.take(text)

    def _ended(self, at: float) -> None:
        """An Enter, Tab or line feed: of a hand it takes the line, of a scanner it only reads."""
        if is_repeat(self._last_ending, at):
            return
        self._last_ending = at
        text = self.value
        by_hand = confirms(self.strokes.last, at)
        if taken := tag_in_answer(text, self.strokes, is_tag):
            self.put(taken.answer)
            self.host.tag_into_answer(taken.tag)
        elif text.strip() and is_tag(text):
            self.empty()
            self.host.tag_read(text, by_hand=by_hand)
        elif by_hand:
            self.press_enter()
        else:
            self.host.unknown_scan(text)
