"""What the pairing judgements are told about one sensor or one control unit.

Plain values only: queries fill them, judgements read them. No rule stands here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

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
]

SENSOR_KIND = "pressure sensor"
UNIT_KIND = "control unit"
PAIRED_KINDS = (SENSOR_KIND, UNIT_KIND)

CodeState = Literal["read", "unreadable", "label gone", "never fitted", "not looked at"]
ReadFrom = Literal["", "part", "paperwork", "seller", "passport", "picture", "dated picture"]
SealState = Literal["missing", "disturbed", "not seen", "renewed", "intact", "never fitted"]


@dataclass(frozen=True, slots=True)
class SealNoted:
    """The latest sighting of one seal: the word as noted, and whether a document stands behind it.

    `at` is when, as text that sorts with `Candidate.changed` and `Setting.at`.
    """

    seal: str
    state: SealState
    fact: str = ""
    has_document: bool = False
    at: str = ""


@dataclass(frozen=True, slots=True)
class OnRecord:
    """Something on record against a part, as the hand would say it ("failed the hold, 12 March 2026")."""

    says: str
    fact: str = ""


@dataclass(frozen=True, slots=True)
class StripDown:
    """The strip-down in which a part last came off a car: its id, the car's name, the removal's fact id.

    `mate` is the tag of the one part it ran together with, the last of the other kind recorded there; empty: none.
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
    """A run that shows a sensor's calibration to be right: alone, or with the control unit `mate` (a tag) on the car.

    `at` is when, as text that sorts with `Candidate.changed`.
    """

    says: str
    at: str
    mate: str = ""
    fact: str = ""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One sensor or control unit as far as pairing asks.

    `seal_state` is the worst of `seals_noted` after the contract (renewed without a document counts as
    disturbed; none noted: not seen). `opened` is work on record on the unit itself, which may have opened or
    trimmed it inside; never work on bracket, mounts or label, nor the outside idle-mixture knob, whose position is
    `knob`. `strip_down` is the one in which it last came off a car. `p_serviceable` lies in 0 to 1. `fitted_to` names
    the car it is on now, `away` says that it is lent or sent out. `changed` is when work on the unit itself, or a seal
    found broken, was last put down (empty: never), and `calibration_shown` what speaks for its setting all the same.
    `setting` is a specialist's last paper. `reserved` says why it is kept back. `fact` is the part's own entry,
    `code_fact` the reading of its code.
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
    decisive_failure: OnRecord | None = None
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
