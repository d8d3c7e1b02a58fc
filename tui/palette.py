"""The acts in the command palette."""

from __future__ import annotations

from functools import partial

from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.content import Content

from tui.acts import ACTS, Act
from tui.frame import Frame

__all__ = ["Acts"]


class Acts(Provider):
    """Every act; with the reason if it cannot be done."""

    @property
    def _frame(self) -> Frame | None:
        screen = self.screen
        return screen if isinstance(screen, Frame) else None

    async def discover(self) -> Hits:
        """All acts, before anything is typed."""
        if frame := self._frame:
            for act in ACTS:
                yield DiscoveryHit(
                    Content(self._words(act)), partial(frame.do, act), text=act.words, help=frame.reason(act)
                )

    async def search(self, query: str) -> Hits:
        """The acts that match what is typed."""
        matcher = self.matcher(query)
        if frame := self._frame:
            for act in ACTS:
                if (score := matcher.match(act.words)) > 0:
                    run = partial(frame.do, act)
                    yield Hit(score, Content(self._words(act)), run, text=act.words, help=frame.reason(act))

    def _words(self, act: Act) -> str:
        return f"{act.group}: {act.words}" if act.group == "Go to" else act.words
