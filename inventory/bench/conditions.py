"""The conditions of a bench run: what may be noted beside its readings, for command line, sheets and browser.

Only a table. It imports nothing heavy, because the help of the commands is made from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["CONDITIONS", "Condition", "condition"]

Form = Literal["word", "flag", "readings"]


@dataclass(frozen=True)
class Condition:
    """One condition noted with a run: a typed word, a flag (yes), or a list of readings."""

    name: str
    help: str
    form: Form = "word"
    metavar: str = "TEXT"

    @property
    def option(self) -> str:
        """How the command line spells it."""
        return f"--{self.name.replace(' ', '-')}"


CONDITIONS: tuple[Condition, ...] = (
    Condition("resolution", "The smallest step you can read on the gauge or meter, e.g. 1cmHg."),
    Condition("blank", "A reading of the rig alone, hose end plugged.", "readings", "TIME=VALUE UNIT"),
    Condition("rig", "The rig's name: pump, hose and gauge that belong together."),
    Condition("rig mended", "The rig was mended, or its hose refitted, before this run.", "flag"),
    Condition("clock", "The time of day, e.g. 14:35; puts the runs of one day in order.", metavar="HH:MM"),
    Condition("volume", "The unit's volume, e.g. 60ml."),
    Condition("rig volume", "The volume of hose, trap and gauge, e.g. 15ml."),
    Condition("clock from", "When you started the clock, e.g. 12s; earlier readings are settling."),
    Condition("zero", "What the needle shows before you draw, e.g. 1cmHg or -1cmHg."),
    Condition("strokes", "Strokes of the pump to draw it down."),
    Condition("usual strokes", "Strokes that a unit of this kind usually takes."),
    Condition("gauge at", "Side of the check valve that the gauge is on: unit or pump."),
    Condition("hose", 'Length of the hose, e.g. 2m, or "long".'),
    Condition("trap", "A liquid trap is in the line.", "flag"),
    Condition("not drawn", "It could not be drawn to nominal; the reading is the highest reached.", "flag"),
    Condition("ambient", "Temperature, e.g. 20degC; assumed to be the part's temperature."),
    Condition("just off", "The part is just off a warm engine: up to 10 K hotter.", "flag"),
    Condition(
        "lain",
        "Did it lie there for an hour? yes or no; if no, 10 K hotter or colder.",
        metavar="YES|NO",
    ),
    Condition("ambient end", "Temperature at the end of a long hold, e.g. 21degC."),
    Condition("barometer", "What the barometer shows, e.g. 1005hPa, not reduced to sea level."),
    Condition("barometer end", "Barometer at the end of a long hold, e.g. 1004hPa."),
    Condition("altitude", "Height above the sea, e.g. 500m, if there is no barometer."),
    Condition("meter", 'Accuracy of the meter, e.g. "0.8% + 2 x 0.1ohm"; with its name, "L2: 1%", for a comparison.'),
    Condition("leads", "Resistance of the meter's leads, e.g. 0.2ohm; subtracted from each reading."),
    Condition("instrument", "The instrument's name on record; gives its accuracy and resolution.", metavar="NAME"),
    Condition("frequency", "Frequency at which an inductance was measured, e.g. 1kHz."),
    Condition("engine speed", "Engine speed set on the bench simulator, e.g. 900rpm."),
    Condition("coolant", "Coolant set on the simulator, e.g. 2.5kohm or 20degC; none without that sensor."),
    Condition("air", "Air set on the simulator, e.g. 300ohm or 20degC; none without that sensor."),
    Condition("throttle", 'Pedal or throttle set on the simulator, e.g. idle, 20deg or "full load".'),
    Condition("reference", "Tag or run of a trusted unit of the same number, to compare with."),
    Condition(
        "reference reading",
        "A point of a specialist's sheet for this number, measured under the same conditions.",
        "readings",
        "POINT=VALUE",
    ),
    Condition("at", "Where it was measured: part, or plug (the control unit's plug, unit unplugged)."),
    Condition("pressure", "Pressure during the test, e.g. 2bar."),
    Condition("fluid", "The fluid of the flow test: test fluid, not petrol."),
    Condition("over", "Time over which you caught a volume or counted drops, e.g. 30s."),
    Condition("load", "Current drawn during the measurement, e.g. 5A."),
    Condition("voltage", "Voltage during the test, e.g. 12V."),
    Condition("checked", 'What was checked that day beside the mixture: "pressure, ignition", or all.'),
    Condition("cleaned", "Whether it was flowed before or after cleaning: before, or after."),
    Condition("session", "Session at the rig: flows of one session compare best."),
    Condition("note", "A remark, kept with the run."),
)
"""All conditions, in the order in which they are asked."""


def condition(name: str) -> Condition | None:
    """The condition of that name; None if there is none."""
    return next((each for each in CONDITIONS if each.name == name), None)
