"""What may be noted beside the readings of a run: one table for the command line, the sheets and the browser.

Nothing here reads or judges; nothing heavy is imported, since the command's own help is drawn from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["CONDITIONS", "Condition", "condition"]

Form = Literal["word", "flag", "readings"]


@dataclass(frozen=True)
class Condition:
    """One thing noted beside readings: a typed word, yes where it is so, or a list of readings of its own."""

    name: str
    help: str
    form: Form = "word"
    metavar: str = "TEXT"

    @property
    def option(self) -> str:
        """How the command line spells it."""
        return f"--{self.name.replace(' ', '-')}"


CONDITIONS: tuple[Condition, ...] = (
    Condition("resolution", "What the gauge or meter can be read to, as 1cmHg."),
    Condition("blank", "The rig alone, hose end plugged.", "readings", "TIME=VALUE UNIT"),
    Condition("volume", "The unit's volume, as 60ml."),
    Condition("ambient", "Temperature, as 20degC; taken as the part's own."),
    Condition("barometer", "As 1005hPa."),
    Condition("meter", 'The meter\'s specification, as "0.8% + 2 x 0.1ohm".'),
    Condition("note", "A remark, kept with the run."),
)
"""Everything that can be noted, in the order it is asked."""


def condition(name: str) -> Condition | None:
    """The condition of that name, None where there is none."""
    return next((each for each in CONDITIONS if each.name == name), None)
