"""What every view is: a body of the screen that is asked by its host and reads the record in the background."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any, TypeVar

from textual.containers import Container
from textual.message import Message

from tui.host import Host, host_of
from tui.questions import SEARCH, Question
from tui.sitting import Sitting
from tui.widgets.rows import RowList

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.errors import Refused
    from inventory.store.readonly import Source

__all__ = ["View"]

Answer = TypeVar("Answer")


class View(Container):
    """A view. Its state lives in attributes, so that keys find it before it is drawn for the first time."""

    DEFAULT_CSS = "View { width: 1fr; height: 1fr; }"

    class Answered(Message):
        """A read came back from its thread."""

        def __init__(self, name: str, turn: int, answer: object, problem: Exception | None) -> None:
            super().__init__()
            self.name = name
            self.turn = turn
            self.answer = answer
            self.problem = problem

    def __init__(self, sitting: Sitting) -> None:
        super().__init__()
        self.sitting = sitting
        self._turns: dict[str, int] = {}
        self._then: dict[str, Callable[[Any], None]] = {}
        self._aside: set[str] = set()

    @property
    def host(self) -> Host:
        """The screen that holds this view."""
        return host_of(self.screen)

    # What the host asks of a view.

    def where(self) -> str:
        """Where I am: the left of row 1."""
        return ""

    def middle(self) -> str:
        """How it stands: the middle of row 1."""
        return ""

    def question(self) -> Question:
        """What the line asks."""
        return SEARCH

    def care(self) -> str:
        """The care line while the step with the hazard is open, at most 78 characters."""
        return ""

    def care_in_full(self) -> tuple[str, ...]:
        """The care of this view in full, with its source, for `?`."""
        return ()

    def explains(self) -> tuple[str, ...]:
        """This view in the trade's words, a paragraph each."""
        return ()

    def keys(self) -> tuple[str, ...]:
        """The keys that the key line names here; all others stand in `?`."""
        return ("Enter", "Esc", "Up", "Down", "Right", "Space", "?")

    def part_tag(self) -> str | None:
        """The part that an act would be done to."""
        return None

    def line_changed(self, text: str) -> None:
        """What stands on the line has changed."""

    def take(self, text: str) -> None:
        """Enter, pressed by a hand; what stood on the line."""

    def steer(self, key: str) -> None:
        """A key on an empty line."""

    def back(self) -> bool:
        """One step back inside the view; False where there is none."""
        return False

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """A whole tag was read; False where the host shall go to that part."""
        return False

    def tapped(self, event: RowList.Tapped) -> None:
        """A row was tapped."""

    def opened(self) -> None:
        """The view is in front (again): read what it shows."""

    def left(self) -> None:
        """Another view is in front now."""

    # What a view asks of the record.

    def read(
        self, name: str, work: Callable[[Session], Answer], then: Callable[[Answer], None], *, aside: bool = False
    ) -> None:
        """Read in the background. Of one name only the last answer counts; older ones are dropped.

        Keys wait for the answer, so that they never act on what is not there yet; not so for what is read `aside`.
        """
        if aside:
            self._aside.add(name)
        self._start(name, lambda: self._reading(work), then)

    def look(
        self, name: str, work: Callable[[Source], Answer], then: Callable[[Answer], None], *, aside: bool = False
    ) -> None:
        """Read as `read` does, with SQL text alone: no session is needed, so the first rows come before SQLAlchemy."""
        if aside:
            self._aside.add(name)
        self._start(name, lambda: self._looking(work), then)

    def work(self, name: str, job: Callable[[], Answer], then: Callable[[Answer], None]) -> None:
        """Do something in the background that opens the record for itself. Until it is done, keys wait."""
        self._start(name, job, then)

    def write(
        self,
        work: Callable[[Session], Answer],
        told: Callable[[Answer], str],
        *,
        then: Callable[[Answer], None] | None = None,
        draft: str = "",
    ) -> None:
        """Do one act in one transaction: a job of the host (see `Host.write`). Until it is done, an Enter waits."""
        self.host.write(self, lambda: self._writing(work), told, then=then, draft=draft)

    def warm(self, *modules: str) -> None:
        """Import in the background what a later view will need, once this one stands."""

        def load() -> None:
            for module in modules:
                import_module(module)

        self.run_worker(load, thread=True, exit_on_error=True, group="warm")

    @property
    def waits(self) -> bool:
        """Whether an answer is still to come without which keys have nothing to act on."""
        return any(name not in self._aside for name in self._then)

    def outstanding(self, name: str) -> bool:
        """Whether an answer of this name is still to come."""
        return name in self._then

    def not_taken(self, refused: Refused) -> None:
        """What the view asked for was refused."""

    def _start(self, name: str, job: Callable[[], object], then: Callable[[Any], None]) -> None:
        turn = self._turns.get(name, 0) + 1
        self._turns[name] = turn
        self._then[name] = then

        def run() -> None:
            answer, problem = None, None
            try:
                answer = job()
            except Exception as caught:  # handed to the thread that owns the screen
                problem = caught
            self.post_message(self.Answered(name, turn, answer, problem))

        self.run_worker(run, thread=True, exit_on_error=True, group=name)

    def _looking(self, work: Callable[[Source], Answer]) -> Answer:
        with self.sitting.record.readonly() as source:
            return work(source)

    def _reading(self, work: Callable[[Session], Answer]) -> Answer:
        with self.sitting.record.read() as session:
            return work(session)

    def _writing(self, work: Callable[[Session], Answer]) -> Answer:
        with self.sitting.record.write() as session:
            return work(session)

    def on_row_list_tapped(self, event: RowList.Tapped) -> None:
        """A tap takes its turn like a key."""
        event.stop()
        self.host.in_turn(lambda: self.tapped(event))

    def on_view_answered(self, event: Answered) -> None:
        """Show an answer, unless a later question of the same name has been asked since."""
        event.stop()
        if event.turn != self._turns.get(event.name):
            return
        then = self._then.pop(event.name)
        self.host.answered(self, lambda: then(event.answer), event.problem)
