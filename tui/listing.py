"""The questions about one position: what belongs there. Pure."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

__all__ = ["READY", "ListingForm"]

READY = "list it"
_QUESTIONS = {
    "kind": "Kind that belongs there?",
    "number": "Part number, from the list?",
    "numbers": "Further numbers? a; b",
    "axis": "Axis of its moving element?",
    "fasteners": "Fasteners?",
    "plugs": "Plugs, hoses?",
    "mounts": "Mounts?",
    "area": "Area of the car?",
    "behind": "Behind which positions? a; b",
    READY: "List it?",
}
_AXES = ("across", "along", "upright")


@dataclass(frozen=True)
class ListingForm:
    """What is listed at a position, and what was answered. `at`: the open question."""

    position: str
    listed: dict[str, str] = field(default_factory=dict)
    answers: dict[str, str] = field(default_factory=dict)
    has_axis: bool = False
    at: str = "kind"

    @property
    def order(self) -> tuple[str, ...]:
        """The questions in order."""
        return tuple(key for key in _QUESTIONS if key != "axis" or self.has_axis)

    @property
    def words(self) -> str:
        """The words of the open question."""
        return _QUESTIONS[self.at]

    @property
    def choices(self) -> tuple[str, ...]:
        """The numbered answers of the open question."""
        return _AXES if self.at == "axis" else ()

    def value(self, key: str) -> str:
        """The answer, else what is listed, else ""."""
        return self.answers.get(key) or self.listed.get(key, "")

    def answered(self, text: str) -> ListingForm:
        """Take an answer and go on; an empty one keeps what is listed."""
        answers = {**self.answers, self.at: text} if text else self.answers
        return replace(self, answers=answers).stepped(1)

    def stepped(self, way: int) -> ListingForm:
        """Go to the question before (-1) or after (1)."""
        order = self.order
        place = order.index(self.at) + way
        return replace(self, at=order[min(max(place, 0), len(order) - 1)])

    def rows(self) -> list[tuple[str, str, str]]:
        """A mark, a name and a value for each question: `>` asked now, `+` typed, `=` listed, `.` nothing."""
        marks = {
            key: ">" if key == self.at else "+" if self.answers.get(key) else "=" if self.listed.get(key) else "."
            for key in self.order
        }
        return [(marks[key], key, self.value(key)) for key in self.order if key != READY]
