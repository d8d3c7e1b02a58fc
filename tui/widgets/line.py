"""The input line at the foot. On an empty line, keys control the view; with text on it, they edit the text."""

from __future__ import annotations

from textual import events
from textual.widgets import Input

from inventory.labels.codes import CarSideCode, read_code
from inventory.parts.tags import is_tag
from inventory.places.place_codes import is_place_code
from tui.host import Host, host_of
from tui.scan import KeyTimes, is_repeat, pressed_by_hand, tag_in_answer

__all__ = ["Line"]

_ENDINGS = frozenset({"enter", "ctrl+j", "ctrl+m"})
_ALWAYS_STEER = frozenset({"up", "down", "pageup", "pagedown", "shift+tab"})
_STEER_WHEN_EMPTY = frozenset({"left", "right", "home", "end", "backspace", "space", "question_mark"})


class Line(Input):
    """The input line. It passes keys and text to the host in order."""

    def __init__(self) -> None:
        super().__init__(id="line", compact=True, select_on_focus=False)
        self.cursor_blink = False
        self.strokes = KeyTimes()
        self._last_ending: float | None = None
        self._quiet = False

    @property
    def host(self) -> Host:
        """The screen that holds this line."""
        return host_of(self.screen)

    def put(self, text: str) -> None:
        """Put a text on the line that does not count as typed or scanned."""
        self.strokes.forget()
        self.value = text
        self.cursor_position = len(text)

    def watch_value(self, value: str) -> None:
        """Tell the host at once, so that the view never lags behind the typing."""
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
        if key in _ENDINGS or (key == "tab" and self.value and not pressed_by_hand(self.strokes.last, event.time)):
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
        """Empty the line without telling the host: its text was used."""
        self._quiet = True
        self.put("")
        self._quiet = False

    def press_enter(self) -> None:
        """Take the text on the line, as if Enter was pressed by hand (for a tap on the word Enter)."""
        text = self.value
        self.empty()
        self.host.take(text)

    def _ended(self, at: float) -> None:
        """Handle Enter, Tab or line feed: pressed by hand it takes the line; from a scanner it only reads a tag."""
        if is_repeat(self._last_ending, at):
            return
        self._last_ending = at
        text = self.value
        by_hand = pressed_by_hand(self.strokes.last, at)
        if taken := tag_in_answer(text, self.strokes, is_tag):
            self.put(taken.answer)
            self.host.tag_into_answer(taken.tag)
        elif isinstance(code := read_code(text), CarSideCode):
            self.empty()
            self.host.car_side_read(code)
        elif text.strip() and is_tag(text):
            self.empty()
            self.host.tag_read(text, by_hand=by_hand)
        elif is_place_code(text):
            self.empty()
            self.host.place_read(text, by_hand=by_hand)
        elif by_hand:
            self.press_enter()
        else:
            self.host.unknown_scan(text)
