"""Records on which the doors are held against each other: with whatever makes doors disagree, by real actions.

Workshop limits, references that were heated or failed a hold, an instrument that failed its calibration, corrections,
runs taken back, papers, a running car, facts of other days. All names and numbers are invented.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random

from demo_db.build import build
from inventory.bench import actions as bench
from inventory.bench.instruments import actions as instruments
from inventory.cars import actions as cars
from inventory.facts import change
from inventory.opening import Record, open_record
from inventory.pairing import actions as pairing
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.provenance import actions as provenance
from inventory.seals import actions as seals
from inventory.teardown import actions as teardown

__all__ = ["OWN_LIMITS", "Workshop", "demo", "generated"]

BY = "Ines"
#: A workshop's own file: coils of one number lie elsewhere, and a number that left the factory without a cap.
OWN_LIMITS = """
[[limit]]
procedure = "resistance"
kind = "pressure sensor"
reading = "primary"
number = "HV 204 118"
low = 100.0
high = 120.0
standing = "workshop judgement"
source = "twelve of our own"

[[seals]]
number = "HV 204 119"
seals = ["sealant"]
source = "four untouched ones seen"
"""
SENSORS, UNITS = ("HV 204 118", "HV 204 119"), ("HV 310 118", "HV 310 119")
DAYS = ("2019-05-04", "2022-08-20", "2024-03-02", "2025-11-15", "2026-02-14", "2026-03-20")


@dataclass(frozen=True)
class Workshop:
    """A record, and where the command line finds it."""

    record: Record
    target: str


def demo(target: str, folder: Path) -> Workshop:
    """The demo workshop before its walk: 230 parts, some forty runs."""
    folder.mkdir()
    record, _ = build(folder, target)
    return Workshop(record, target)


def generated(target: str, folder: Path, seed: int) -> Workshop:
    """A shelf of sensors and units with runs, looks, work, papers and corrections drawn by a seed."""
    drawn = _Drawn(open_record(target), folder, Random(seed))
    drawn.lay_out()
    drawn.measure()
    drawn.contradict()
    return Workshop(drawn.record, target)


class _Drawn:
    """One record being made."""

    def __init__(self, record: Record, folder: Path, random: Random) -> None:
        self.record, self.random = record, random
        self.paper = folder / "paper.txt"
        self.paper.write_text("set on the bench")
        self.sensors: list[str] = []
        self.units: list[str] = []
        self.runs: list[str] = []

    def act(self, action: Callable[..., str], *given: object, **more: object) -> str:
        """One action in one transaction."""
        with self.record.write() as session:
            return str(action(session, BY, *given, **more))

    def lay_out(self) -> None:
        """Numbers that fit, parts with letters, the car they were on."""
        for sensor, unit in zip(SENSORS, UNITS, strict=True):
            self.act(parts.state_fit, sensor, unit, on="2018")
        self.act(parts.state_fit, SENSORS[0], UNITS[1], fits=False, on="2025-01-01")
        with self.record.write() as session:
            cars.add_car(session, BY, "Green tourer")
        for kind, numbers, tags in (("pressure sensor", SENSORS, self.sensors), ("control unit", UNITS, self.units)):
            for place in range(9):
                code = self.random.choice(("K", "K", "Q", "O or Q", "-", ""))
                read_from = self.random.choice((None, None, "seller", "dated picture")) if code else None
                markings = Markings(
                    kind=kind,
                    maker="Ostrell",
                    part_number=numbers[place % 2],
                    serial=f"{60 + place}-4{place:03d}",
                    match_code=code or None,
                    match_code_read_from=read_from,
                )
                tags.append(self.act(parts.add_part, markings, on=self.random.choice(DAYS)))
        self.act(instruments.add_instrument, "Gauge 2", what="gauge", dial_unit="cmHg", due="2025-01", on="2018")
        self.act(instruments.add_instrument, "Meter 1", what="meter", specification="0.5% + 2 x 0.1ohm", on="2018")
        self.act(instruments.calibrate, "Meter 1", "passed", on="2023-01-10")
        self.act(instruments.calibrate, "Meter 1", "failed", on="2025-12-01")

    def measure(self) -> None:
        """Seals, holds, coils, sweeps beside a reference, a mixture on the running car."""
        for tag in (*self.sensors, *self.units):
            for seal in ("cap", "sealant"):
                state = self.random.choice(("intact", "intact", "not seen", "disturbed", "never fitted"))
                self.act(seals.note_seal, tag, seal, state, on=self.random.choice(DAYS))
        for tag in self.sensors:
            for _ in range(2):
                left = self.random.choice((49, 48, 46, 45, 40))
                readings = ["0s=50cmHg", f"10s={left}cmHg"]
                noted = {"instrument": self.random.choice(("Gauge 2", "")), "rig": self.random.choice(("rig 1", ""))}
                self.run(tag, "hold", readings, noted)
            primary = self.random.choice((91.0, 105.0, 118.0, 150.0))
            noted = {"ambient": "20degC", "instrument": self.random.choice(("Meter 1", ""))}
            self.run(tag, "resistance", [f"primary={primary}ohm", "secondary=350ohm", "case=OL"], noted)
        curve = [f"{vacuum}cmHg={1.6 - vacuum / 100:.3f}H" for vacuum in (0, 10, 20, 30, 40, 50)]
        beside = {"frequency": "1kHz", "meter": "L2: 0.5% + 2 counts", "ambient": "20degC"}
        for trusted in self.sensors[:2]:
            self.run(trusted, "sweep", curve, beside)
        for place, tag in enumerate(self.sensors[2:8]):
            off = self.random.choice((0.0, 0.0, 0.08))
            own = [f"{vacuum}cmHg={1.6 + off - vacuum / 100:.3f}H" for vacuum in (0, 10, 20, 30, 40, 50)]
            self.run(tag, "sweep", own, {**beside, "reference": self.sensors[place % 2]})
        for tag, position in ((self.sensors[2], "inner wing"), (self.units[2], "kick panel")):
            self.act(_fitted, tag, position, on="2024-03-02")
        self.run("Green tourer", "mixture", ["cruise CO=0.8%", "full load CO=4.0%", "idle CO=2.0%"], {}, "2025-11-15")

    def run(self, what: str, procedure: str, readings: list[str], noted: dict[str, str], on: str = "") -> None:
        """One bench run."""
        with self.record.write() as session:
            done = bench.run(session, BY, what, procedure, readings, dict(noted), on=on or self.random.choice(DAYS))
            self.runs.append(done.fact.id)

    def contradict(self) -> None:
        """Facts that change what others are worth: work, corrections, what was taken back, a specialist's paper."""
        self.act(parts.log_work, self.sensors[0], "heated to free a screw", "on the unit", on="2025-11-15")
        self.act(parts.log_work, self.units[1], "opened", "on the unit", on="2022-08-20")
        for tag in self.sensors[3:5]:
            self.act(parts.describe, tag, Markings(part_number=SENSORS[1]), on="2026-02-14")
        self.act(change.withdraw, self.runs[0], "wrong part")
        self.act(change.correct, self.runs[3], {"10s": "48cmHg"}, "misread")
        self.act(pairing.file_paper, self.sensors[5], self.paper, unit=self.units[4], on="2024-03-02")
        self.act(provenance.note_provenance, self.units[6], "sold", on="2026-03-20")
        self.act(seals.note_seal, self.sensors[6], "cap", "missing", on="2026-03-20")


def _fitted(session: object, by: str, tag: str, position: str, *, on: str) -> str:
    teardown.fit(session, by, tag, position, car="Green tourer", on=on)  # type: ignore[arg-type]
    return tag
