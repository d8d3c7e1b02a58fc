"""Questions on the input line, and which answer a text picks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["A_NEW_ONE", "NO", "SEARCH", "Question", "agreed", "chosen", "which_name"]


@dataclass(frozen=True)
class Question:
    """A question and its numbered answers. `enter`: what Enter alone does. `short`: so are its answers."""

    ask: str
    choices: tuple[str, ...] = ()
    enter: str = ""
    short: bool = False

    @property
    def words(self) -> str:
        """The question with its numbered answers, as shown before the line."""
        numbered = "  ".join(f"{place} {choice}" for place, choice in enumerate(self.choices, start=1))
        return "  ".join(part for part in (self.ask, numbered, f"Enter {self.enter}" if self.enter else "") if part)


SEARCH = Question("Search, scan, or a number:")
A_NEW_ONE = "a new one"
YES, NO = "yes", "no"


def which_name(what: str, near: Sequence[str]) -> Question:
    """Which of the near names was meant by one that is not on record."""
    return Question(f"Which {what} is meant?", (*near, A_NEW_ONE))


def chosen(text: str, choices: tuple[str, ...]) -> str | None:
    """The answer that a text picks: by number, by its words, or by the first letters of only one answer."""
    typed = text.strip().casefold()
    if typed.isdecimal():
        place = int(typed)
        return choices[place - 1] if 1 <= place <= len(choices) else None
    begun = [choice for choice in choices if typed and choice.casefold().startswith(typed)]
    exact = [choice for choice in begun if choice.casefold() == typed]
    if exact:
        return exact[0]
    return begun[0] if len(begun) == 1 else None


def agreed(text: str) -> str | None:
    """The answer to a question that Enter alone agrees to: yes, no, or None for a text that is neither."""
    typed = text.strip()
    if not typed:
        return YES
    return None if typed.isdecimal() else chosen(typed, (YES, NO))
