"""Reads what a setting paper says of a sensor: for which control unit, sweeps before and after, seal, instruments."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from inventory.bench.instruments.queries import Instruments
from inventory.bench.runs.queries import RunView, runs_of
from inventory.errors import Refused
from inventory.facts.views import FactView, facts_of
from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.judgements import refuse_unpaired
from inventory.papers.page import Line, Page, Section
from inventory.papers.setting.words import NOTE, STATEMENT, calibration_words, sweep_lines
from inventory.parts import tags
from inventory.parts.queries import part_row
from inventory.parts.tables import Part, Work
from inventory.seals.tables import SealSighting
from inventory.store.days.date_words import day_words
from inventory.store.days.zone import today_in
from inventory.store.words.text import clean

__all__ = ["SETTING_PAPER", "SetFor", "SettingPaper", "setting_paper"]

SETTING_PAPER = "setting paper"


@dataclass(frozen=True)
class SetFor:
    """The control unit: its tag if it is on record, its number and letter."""

    tag: str
    number: str
    letter: str

    @property
    def says(self) -> str:
        """Number and letter, as the paper names it."""
        label = f" (label {self.tag})" if self.tag else ""
        return f"control unit {self.number or 'number not read'}, code {self.letter or 'not read'}{label}"


@dataclass(frozen=True)
class SettingPaper:
    """The paper, the control unit, the day of the setting, and what is missing though it may be written without."""

    page: Page
    unit: SetFor
    day: str
    missing: tuple[str, ...]


def setting_paper(session: Session, tag: str, unit: str, *, by: str, machine: str = "") -> SettingPaper:
    """The paper of a sensor that was set, not numbered yet. `unit`: a tag, or number and letter; `by`: who set it.

    Raises `Refused` unless work on the unit and a sweep after it are on record.
    """
    part = part_row(session, tag)
    refuse_unpaired(Candidate(part.tag, part.kind or "other", "", "", 0.0), SENSOR_KIND)
    set_for = _unit(session, unit)
    facts = facts_of(session, part.id, (Work, SealSighting))
    work = [fact for fact in facts if fact.table == "work" and fact.values["area"] == "on the unit"]
    if not work:
        raise Refused(
            "no-work-on-the-unit",
            f"No work on {part.tag} itself is on record, so no sweep stands before or after it",
            where=part.tag,
            hint="matchmark work log TAG --what ... --where 'on the unit'; then sweep it again",
        )
    pivot = _order(work[-1])
    sweeps = [run for run in runs_of(session, part.id) if run.procedure == "sweep" and not run.is_told]
    before = [run for run in sweeps if _order(run.fact) < pivot]
    after = [run for run in sweeps if _order(run.fact) > pivot]
    if not after:
        raise Refused(
            "no-sweep-after",
            f"No sweep of {part.tag} after the work of {day_words(work[-1].on)} is on record",
            where=part.tag,
            hint="matchmark bench run sweep TAG --reading 0cmHg=... --reference OTHER",
        )
    renewed = [fact for fact in facts if fact.values.get("state") == "renewed" and _order(fact) > pivot]
    used = _instruments(session, [*before[-1:], after[-1]])
    missing = _missing(before, renewed, used, set_for)
    today = today_in(session).isoformat()
    page = Page(
        SETTING_PAPER,
        part.tag,
        f"Pressure sensor {part.part_number or part.tag}, set for {set_for.says}",
        today,
        _sections(part, set_for, work[-1], before, after[-1], renewed, used, missing, by, machine),
        intro=NOTE,
        statement=STATEMENT.format(day=day_words(today), by=by),
        others=(set_for.tag,) if set_for.tag else (),
    )
    return SettingPaper(page, set_for, work[-1].on, tuple(missing))


def _unit(session: Session, typed: str) -> SetFor:
    """The control unit by its tag, or by number and letter: "HV 310 118 K"."""
    words = clean(typed)
    if tags.is_tag(words):
        unit = part_row(session, words)
        refuse_unpaired(Candidate(unit.tag, unit.kind or "other", "", "", 0.0), UNIT_KIND)
        return SetFor(unit.tag, unit.part_number or "", unit.match_code or "")
    number, _, letter = words.rpartition(" ")
    if not number or len(letter) > 3 or any(sign.isdigit() for sign in letter):
        raise Refused(
            "half-named",
            "Name the control unit by its label, or by number and letter",
            where="--unit",
            hint='for example: --unit "HV 310 118 K"',
        )
    return SetFor("", number, letter)


def _order(fact: FactView) -> tuple[str, str]:
    return fact.counts_from, fact.ranked


def _instruments(session: Session, runs: Sequence[RunView]) -> dict[str, str]:
    """Each instrument that the runs name, with its calibration on the day of the last of them."""
    every, found = Instruments(session), {}
    for run in runs:
        used = every.of(run.fact)
        if used is not None:
            found[used.name] = calibration_words(used)
    return found


def _missing(
    before: Sequence[RunView], renewed: Sequence[FactView], used: dict[str, str], set_for: SetFor
) -> list[str]:
    gaps = (
        ("no sweep before the work", not before),
        ("no seal noted as renewed since the work", not renewed),
        ("the sweeps name no instrument on record, so its calibration is not known", not used),
        ("the number of the control unit", not set_for.number),
        ("the letter of the control unit", not set_for.letter),
    )
    return [what for what, is_gap in gaps if is_gap]


def _sections(
    part: Part,
    set_for: SetFor,
    work: FactView,
    before: Sequence[RunView],
    after: RunView,
    renewed: Sequence[FactView],
    used: dict[str, str],
    missing: Sequence[str],
    by: str,
    machine: str,
) -> tuple[Section, ...]:
    serial = part.serial or f"none noted: {part.serial_state or 'not known'}"
    what = (
        Line(part.tag, "label"),
        Line(part.part_number or "not known", "number"),
        Line(serial, "serial"),
        Line(set_for.says, "set for", keep=True),
        Line(by, "set by", keep=True),
        Line(f"{work.values['what']}, {day_words(work.on)}", "work", keep=True, data={"fact": work.id}),
    )
    seals = tuple(
        Line(f"{fact.values['seal']}: renewed, {day_words(fact.on)}, by {fact.by}", data={"fact": fact.id})
        for fact in renewed
    )
    with_ = [Line(says, name) for name, says in used.items()]
    with_ += [Line(machine, "machine")] if machine else []
    conditions = after.fact.values["conditions"]
    with_ += [Line(str(value), name) for name, value in sorted(conditions.items()) if name != "instrument"]
    return (
        Section("sensor", "What was set, and for what", what),
        Section("sweeps", "Sweep before and after", sweep_lines(before[-1] if before else None, after)),
        Section("measured_with", "Measured with", tuple(with_)),
        Section("seals", "Seals", seals or (Line("no seal is noted as renewed since the work", keep=True),)),
        Section("missing", "What is missing on this paper", tuple(Line(each, keep=True) for each in missing)),
    )
