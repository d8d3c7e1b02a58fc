"""One sensor or control unit as input of the pairing judgements.

Plain values only, without rules: `pairing.load` fills them, judgements read them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inventory.contradictions.looks import Contradiction

__all__ = [
    "PAIRED_KINDS",
    "SENSOR_KIND",
    "UNIT_KIND",
    "CalibrationShown",
    "Candidate",
    "CodeState",
    "OnRecord",
    "ReadFrom",
    "SealNoted",
    "SealState",
    "Setting",
    "StripDown",
    "TestBeside",
]

SENSOR_KIND = "pressure sensor"
UNIT_KIND = "control unit"
PAIRED_KINDS = (SENSOR_KIND, UNIT_KIND)

CodeState = Literal["read", "unreadable", "label gone", "never fitted", "not looked at"]
ReadFrom = Literal["", "part", "paperwork", "seller", "passport", "picture", "dated picture"]
SealState = Literal["missing", "disturbed", "not seen", "renewed", "intact", "never fitted"]


@dataclass(frozen=True, slots=True)
class SealNoted:
    """The latest sighting of one seal: its state as noted, whether there is a document for it; `own`: we looked.

    `at` is when, as text that sorts with `Candidate.changed` and `Setting.at`.
    """

    seal: str
    state: SealState
    fact: str = ""
    has_document: bool = False
    at: str = ""
    own: bool = True


@dataclass(frozen=True, slots=True)
class OnRecord:
    """Something on record about a part, in words ("board resoldered (2026-03-12)"), with its fact.

    `day` is its latest possible day, in ISO form, where a later fact may undo it.
    """

    says: str
    fact: str = ""
    day: str = ""


@dataclass(frozen=True, slots=True)
class TestBeside:
    """The last pass or fail of one procedure on a part. It stands beside the grade of a pair and does not change it.

    `says` is said of the part: "failed the hold on 12 March 2026". `on` is EDTF, empty if not known. `mended`: what
    could mend the faults that it shows ("repaired by a specialist").
    """

    __test__ = False  # not a test case, whatever a test runner thinks of the name

    procedure: str
    verdict: Literal["pass", "fail"]
    says: str
    on: str = ""
    fact: str = ""
    mended: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StripDown:
    """The strip-down in which a part last came off a car: its id, the car's name, the removal's fact id.

    `mate` is the tag of the part it ran with, the last of the other kind recorded there; empty if there is none.
    """

    id: str
    car: str
    fact: str = ""
    mate: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """A specialist's paper on how a sensor was set: for which control unit, by its tag or by its number and code.

    With neither the paper names no mate. `at` is when, as text that sorts with `SealNoted.at` and `Candidate.changed`.
    """

    unit: str = ""
    unit_number: str = ""
    unit_number_squeezed: str = ""
    unit_code: str = ""
    at: str = ""
    on: str = ""
    fact: str = ""


@dataclass(frozen=True, slots=True)
class CalibrationShown:
    """A run that shows that a sensor's calibration is right: alone, or on the car with control unit `mate` (a tag).

    `at` is when, as text that sorts with `Candidate.changed`.
    """

    says: str
    at: str
    mate: str = ""
    fact: str = ""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One sensor or control unit with everything that pairing needs.

    `p_serviceable` is in 0 to 1. `seal_state` is the worst of `seals_noted` (renewed without a document counts as
    disturbed; none noted: not seen). `opened` is recorded work on the unit itself, which may have opened or trimmed it;
    not work on bracket, mounts or label, nor on the outside idle-mixture knob (`knob`). `tests` says whether it works,
    never with whom it belongs. `strip_down` is the one in which it last came off a car. `fitted_to` names the car it is
    on, `away` says that it is lent or sent out. `changed` is the last time of work on the unit itself or of a broken
    seal (empty: never); `calibration_shown` holds the runs that show its calibration. `setting` is a specialist's last
    paper, `reserved` a reservation. `fact` is the part's first marking, `code_fact` the reading of its code.
    `contradictions`: what does not fit on the part; if two letters were read from it, `match_code` holds both.
    """

    tag: str
    kind: str
    part_number: str
    part_number_squeezed: str
    p_serviceable: float
    match_code: str = ""
    match_code_state: CodeState = "not looked at"
    match_code_read_from: ReadFrom = ""
    seal_state: SealState = "not seen"
    seals_noted: tuple[SealNoted, ...] = ()
    seals_never_noted: tuple[str, ...] = ()
    opened: OnRecord | None = None
    tests: tuple[TestBeside, ...] = ()
    strip_down: StripDown | None = None
    document_count: int = 0
    fitted_to: str = ""
    away: str = ""
    changed: str = ""
    calibration_shown: tuple[CalibrationShown, ...] = ()
    setting: Setting | None = None
    reserved: OnRecord | None = None
    knob: OnRecord | None = None
    fact: str = ""
    code_fact: str = ""
    contradictions: tuple[Contradiction, ...] = ()

    @property
    def failed(self) -> tuple[TestBeside, ...]:
        """The tests that it failed and has not passed since."""
        return tuple(test for test in self.tests if test.verdict == "fail")
