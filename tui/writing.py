"""The act that the browser is writing (one at a time), and the message about its end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual.message import Message

if TYPE_CHECKING:
    from tui.view import View

__all__ = ["Job", "Wrote"]


@dataclass(frozen=True)
class Job:
    """An act in progress: its view, what it does, the message for its outcome, the view's next step, its draft."""

    view: View
    work: Callable[[], Any]
    message_of: Callable[[Any], str]
    then: Callable[[Any], None] | None
    draft: str


class Wrote(Message):
    """The act has ended in its thread: its answer, or why it was not written; what of it does not fit."""

    def __init__(self, answer: object, problem: Exception | None, unfitting: tuple[Any, ...] = ()) -> None:
        super().__init__()
        self.answer = answer
        self.problem = problem
        self.unfitting = unfitting
