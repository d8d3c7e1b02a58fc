"""A second part at a position that is empty already: how it can be. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.teardown.load_history import Passage
from tui.questions import Question
from tui.words import clock_time, short_day

__all__ = ["SecondPart"]


@dataclass(frozen=True)
class SecondPart:
    """What is asked before a second part is taken at a position. `by`: the removal that emptied it.

    `number`: that of the second part, as shown; `today`: ISO. `other_asked`: the place of the other part is asked.
    """

    position: str
    by: Passage
    number: str
    today: str
    other_asked: bool = False

    @property
    def question(self) -> Question:
        """The open question; Enter alone answers neither."""
        if self.other_asked:
            return Question(f"Where did part {self.by.number}, {self.by.tag}, sit?")
        return Question("How can it be?  1 to 5, or type the place")

    @property
    def says(self) -> str:
        """What is said with the question."""
        return (
            f"{self.position} is empty: {self.by.tag} came off it {self._when}. "
            f"Nothing is written for part {self.number}."
        )

    @property
    def rows(self) -> tuple[str, ...]:
        """The lines that stand in the form's place: who came off before, and the five answers."""
        by = self.by
        return (
            f"> position   {self.position}   already empty",
            "",
            "OFF THIS PLACE BEFORE",
            f"part {by.number}  {by.tag} {by.kind or 'part'}, {self._when}",
            "",
            "HOW CAN IT BE?",
            "1 this one sat elsewhere: which place",
            f"2 part {by.number} sat elsewhere: which place",
            f"3 one part, two labels: {by.tag} is it",
            "4 both sat here together",
            f"5 part {by.number} went back on, this came next",
            "",
            "Nothing is offered. Esc: another place.",
            "Your answers so far are kept.",
        )

    @property
    def _when(self) -> str:
        return f"today {clock_time(self.by.recorded)}" if self.by.on == self.today else short_day(self.by.on)
