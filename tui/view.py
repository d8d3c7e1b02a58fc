"""The base of all views: the body of the screen. A view answers its host and reads the record in the background."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from textual.containers import Container
from textual.message import Message

from tui.away import Waiting, not_connected
from tui.host import Host, host_of
from tui.questions import SEARCH, Question
from tui.sitting import Sitting
from tui.widgets.rows import RowList

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.errors import Refused
    from inventory.labels.codes import CarSideCode
    from inventory.store.connection.readonly import Source

__all__ = ["View"]

Answer = TypeVar("Answer")


class View(Container):
    """A view. It keeps its state in attributes, so that keys work before it is drawn for the first time."""

    DEFAULT_CSS = "View { width: 1fr; height: 1fr; }"

    class Answered(Message):
        """A read has ended in its thread."""

        def __init__(self, name: str, turn: int, answer: object, problem: Exception | None) -> None:
            super().__init__()
            self.name = name
            self.turn = turn
            self.answer = answer
            self.problem = problem

    #: Whether, after an act of this view, the user is asked at once what settles that it does not fit the record.
    asks_what_settles = True
    #: The car that the view is about, "" if none.
    car = ""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__()
        self.sitting = sitting
        self._turns: dict[str, int] = {}
        self._then: dict[str, Callable[[Any], None]] = {}
        self._background: set[str] = set()
        self._if_away: dict[str, Callable[[], Any]] = {}

    @property
    def host(self) -> Host:
        """The screen that holds this view."""
        return host_of(self.screen)

    # What the host calls.

    def where(self) -> str:
        """The left of the title row: the view, and what it shows."""
        return ""

    def middle(self) -> str:
        """The middle of the title row: the state."""
        return ""

    def question(self) -> Question:
        """The question before the line."""
        return SEARCH

    def care(self) -> str:
        """The care line, while a step with a hazard is open; at most 78 characters."""
        return ""

    def cautions_in_full(self) -> tuple[str, ...]:
        """The cautions of this view in full, with their sources, for `?`."""
        return ()

    def help_text(self) -> tuple[str, ...]:
        """The help text of this view, in paragraphs."""
        return ()

    def keys(self) -> tuple[str, ...]:
        """The keys that the key line shows here; `?` shows all."""
        return ("Enter", "Esc", "Up", "Down", "Right", "Space", "?")

    def key_words(self) -> Mapping[str, str]:
        """What some keys do here, where it is not what they do elsewhere."""
        return {}

    def part_tag(self) -> str | None:
        """The tag of the part that acts apply to, or None."""
        return None

    def car_shown(self) -> str | None:
        """The car that the view is about, or None."""
        return None

    def line_changed(self, text: str) -> None:
        """The text on the line changed."""

    def take(self, text: str) -> None:
        """Enter was pressed by hand, with this text on the line."""

    def steer(self, key: str) -> None:
        """A key was pressed on an empty line."""

    def back(self) -> bool:
        """Go one step back within the view; False if there is none."""
        return False

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """A whole tag was typed or scanned; return False if the host is to open that part."""
        return False

    def car_side_read(self, code: CarSideCode) -> bool:
        """A label for the car side was typed or scanned; return False if the host is to open its part."""
        return False

    def place_read(self, text: str, *, by_hand: bool) -> bool:
        """A text with the form of a place's label was typed or scanned; return False if no place is asked here."""
        return False

    def scanned(self, text: str) -> str:
        """Text was scanned that is not a tag; return what to say if it is no answer here, "" if it may be one."""
        return ""

    def tapped(self, event: RowList.Tapped) -> None:
        """A row was tapped."""

    def opened(self) -> None:
        """The view is in front (again): read its data."""

    # Reading and writing the record.

    def read(
        self,
        name: str,
        work: Callable[[Session], Answer],
        then: Callable[[Answer], None],
        *,
        background: bool = False,
        away: Callable[[], Answer] | None = None,
    ) -> None:
        """Read in the background. Of reads with one name only the last counts; answers to older ones are dropped.

        Keys wait for the answer, so that they never act on data not yet read; they do not wait if it is read
        `background`. `away` gives the answer to go on with while the record is away.
        """
        if background:
            self._background.add(name)
        self._if_away.pop(name, None)
        if away is not None and self.host.is_away:
            then(away())
            return
        if away is not None:
            self._if_away[name] = away
        self._start(name, lambda: self._reading(work), then)

    def read_sql(
        self, name: str, work: Callable[[Source], Answer], then: Callable[[Answer], None], *, background: bool = False
    ) -> None:
        """Read like `read`, with SQL text only: without a session, so that the first rows need no SQLAlchemy."""
        if background:
            self._background.add(name)
        self._start(name, lambda: self._reading_sql(work), then)

    def work(self, name: str, job: Callable[[], Answer], then: Callable[[Answer], None]) -> None:
        """Do something in the background that opens the record itself. Keys wait until it is done."""
        self._start(name, job, then)

    def write(
        self,
        work: Callable[[Session], Answer],
        message_of: Callable[[Answer], str],
        *,
        then: Callable[[Answer], None] | None = None,
        draft: str = "",
        files: Sequence[Path] = (),
    ) -> None:
        """Do one act in one transaction, as a job of the host (see `Host.write`). Enter waits until it is done.

        `files`: those that it attaches; they are stored before it takes its locks.
        """
        self.host.write(self, lambda: self._writing(work, files), message_of, then=then, draft=draft)

    def preload(self, *modules: str) -> None:
        """Import in the background modules that a later view will need."""

        def load() -> None:
            for module in modules:
                import_module(module)

        self.run_worker(load, thread=True, exit_on_error=True, group="warm")

    @property
    def is_waiting(self) -> bool:
        """Whether keys have to wait for an answer."""
        return any(name not in self._background for name in self._then)

    def outstanding(self, name: str) -> bool:
        """Whether the answer to a read of this name is still missing."""
        return name in self._then

    def waiting(self) -> Waiting | None:
        """What waits here while the record is away, in a view whose questions go on meanwhile."""
        return None

    def record_back(self) -> None:
        """The record is back."""

    def was_refused(self, refused: Refused) -> None:
        """Something that the view asked for was refused."""

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

    def _reading_sql(self, work: Callable[[Source], Answer]) -> Answer:
        with self.sitting.record.readonly() as source:
            return work(source)

    def _reading(self, work: Callable[[Session], Answer]) -> Answer:
        with self.sitting.record.read() as session:
            return work(session)

    def _writing(self, work: Callable[[Session], Answer], files: Sequence[Path]) -> Answer:
        from inventory.documents.actions import writing_with

        with writing_with(self.sitting.record, *files) as session:
            return work(session)

    def on_row_list_tapped(self, event: RowList.Tapped) -> None:
        """Handle a tap in order with the keys."""
        event.stop()
        self.host.enqueue(lambda: self.tapped(event))

    def on_view_answered(self, event: Answered) -> None:
        """Show an answer, unless a later read of the same name was started."""
        event.stop()
        if event.turn != self._turns.get(event.name):
            return
        then, away = self._then.pop(event.name), self._if_away.pop(event.name, None)
        if away is None or not not_connected(event.problem):
            self.host.answered(self, lambda: then(event.answer), event.problem)
            return
        self.host.answered(self, lambda: then(away()), None)
        self.host.record_away()
