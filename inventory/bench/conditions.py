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
    Condition("rig", "The rig's name: pump, hose and gauge that belong together."),
    Condition("volume", "The unit's volume, as 60ml."),
    Condition("rig volume", "Volume of hose, trap and gauge, as 15ml."),
    Condition("clock from", "When the clock was started, as 12s; what was read earlier is settling."),
    Condition("zero", "What the needle shows with nothing drawn, as 1cmHg or -1cmHg."),
    Condition("strokes", "Strokes of the pump to draw it down."),
    Condition("usual strokes", "Strokes that a unit of this kind usually takes."),
    Condition("gauge at", "Side of the check valve that the gauge is on: unit or pump."),
    Condition("hose", 'Length of the hose, as 2m, or "long".'),
    Condition("trap", "A liquid trap is in the line.", "flag"),
    Condition("not drawn", "It could not be drawn to nominal; the reading is the highest reached.", "flag"),
    Condition("ambient", "Temperature, as 20degC; taken as the part's own."),
    Condition("just off", "The part is just off the engine; widens its temperature by 10 K.", "flag"),
    Condition("lain", "Has the part lain there an hour? yes or no; no counts as just off.", metavar="YES|NO"),
    Condition("ambient end", "Temperature at the end of a long hold, as 21degC."),
    Condition("barometer", "As 1005hPa; what stands on the barometer, not reduced to sea level."),
    Condition("barometer end", "Barometer at the end of a long hold, as 1004hPa."),
    Condition("altitude", "Height above the sea, as 500m; instead of a barometer."),
    Condition("meter", 'The meter\'s specification, as "0.8% + 2 x 0.1ohm"; for a sweep its name before it, "L2: 1%".'),
    Condition("leads", "What the meter's leads read alone, as 0.2ohm; taken off each reading."),
    Condition("instrument", "The instrument's name on record; lends its accuracy and resolution.", metavar="NAME"),
    Condition("frequency", "Frequency that an inductance was measured at, as 1kHz."),
    Condition("reference", "What a sweep is compared with: tag or run of a unit of the same number that you trust."),
    Condition(
        "reference reading",
        "A point of a specialist's sheet for this number, made at the same frequency.",
        "readings",
        "VACUUM=INDUCTANCE",
    ),
    Condition("at", "Where it was measured: part, or plug (the control unit's plug, unit unplugged)."),
    Condition("pressure", "Pressure it was tested at, as 2bar."),
    Condition("fluid", "What it was flowed with: test fluid, not petrol."),
    Condition("over", "Time that a volume was caught or drops were counted over, as 30s."),
    Condition("load", "Current drawn while it was measured, as 5A."),
    Condition("voltage", "Voltage that it was run or tested at, as 12V."),
    Condition("cleaned", "Flowed before or after cleaning: before, or after."),
    Condition("session", "Session at the rig: what was flowed in one session compares best."),
    Condition("note", "A remark, kept with the run."),
)
"""Everything that can be noted, in the order it is asked."""


def condition(name: str) -> Condition | None:
    """The condition of that name, None where there is none."""
    return next((each for each in CONDITIONS if each.name == name), None)
