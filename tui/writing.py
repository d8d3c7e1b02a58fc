"""The one act that the browser writes at a time, and what becomes of it when it is done."""

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
    """An act under way: whose it is, the sentence for its outcome, the view's next step, the draft it finishes."""

    view: View
    told: Callable[[Any], str]
    then: Callable[[Any], None] | None
    draft: str


class Wrote(Message):
    """The act came back from its thread: with what it gave, or why it was not written."""

    def __init__(self, answer: object, problem: Exception | None) -> None:
        super().__init__()
        self.answer = answer
        self.problem = problem
