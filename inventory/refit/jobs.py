"""A job between the steps of putting a car back. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

__all__ = ["JobLine"]


@dataclass(frozen=True)
class JobLine:
    """A job: what to do, before and after which position (names), what it waits for in words, when it was done.

    `key`: the id of its fact. `at`: the number of the step that it stands before, in a plan.
    """

    key: str
    car_id: int
    text: str
    before: str | None = None
    after: str | None = None
    waits_for: str | None = None
    done: str | None = None
    at: int = 0

    @property
    def says(self) -> str:
        """The job in one line."""
        said = [f"{self.text}", self.waits_for and f"waits for {self.waits_for}", self.done and f"done {self.done}"]
        return ", ".join(filter(None, said))

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        names = ("text", "before", "after", "waits_for", "done")
        return {"job": self.key, **{name: getattr(self, name) for name in names}, "before_step": self.at}
