"""What a sale sheet tells of a part besides its tests: what it is, looks, work, hearsay, what is not known. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inventory.condition_list.words import CLASSES, NOT_ASSESSED
from inventory.facts.how_known import is_own, told_by
from inventory.pairing.candidate import PAIRED_KINDS
from inventory.papers.page import Line
from inventory.store.days.date_words import day_words

if TYPE_CHECKING:
    from inventory.papers.sale.load_on_record import OnRecord

__all__ = ["condition", "done", "identity", "not_known", "said"]


def identity(seen: OnRecord) -> list[Line]:
    """Label, serial, marks and where they sit, measurements, material, features."""
    line, described = seen.line, seen.last("object_description")
    told = (
        ("label here", line.tag),
        ("serial", line.serial or f"none noted: {line.serial_state or 'not known'}"),
        ("date code", line.date_code),
        ("other marks", line.marks),
        ("where they sit", described.get("marks_sit")),
        ("measurements", described.get("measurements")),
        ("material", described.get("material")),
        ("features", described.get("features")),
    )
    return [Line(says, word) for word, says in told if says]


def condition(seen: OnRecord) -> list[Line]:
    """The last look at it, in words; the class never alone."""
    facts = seen.facts.get("assessment")
    if not facts:
        return [Line(NOT_ASSESSED, "looks")]
    fact, told = facts[-1], facts[-1].values
    category = told["category"]
    looks = NOT_ASSESSED if category is None else f"{CLASSES[category]} (class {category} of 0 to 3, no vehicle grade)"
    rows = (
        ("looks", f"{looks}, {day_words(fact.on)}, {told_by(fact.how_known) or f'by {seen.by(fact)}'}"),
        ("stated as", told.get("trade_class")),
        ("damage", told["damage"]),
        ("missing", told["missing"]),
        ("stable", told["trend"]),
        ("not seen", told.get("unseen")),
    )
    return [Line(says, word) for word, says in rows if says]


def done(seen: OnRecord) -> list[Line]:
    """Work with its products, settings by specialists, mishaps; newest first."""
    found = []
    for fact in reversed(seen.facts.get("work", [])):
        work = fact.values
        who = seen.people.roles.get(work["done_by"], "somebody outside") if work["done_by"] else seen.by(fact)
        used = ", ".join(filter(None, (work["product"], work["batch"] and f"batch {work['batch']}")))
        known = "" if is_own(fact) else f", {fact.how_known}"
        kept = f"; taken off: {work['taken_off']}" if work["taken_off"] else ""
        says = f"{work['what']} ({work['area']}), by {who}{known}{f'; with {used}' if used else ''}{kept}"
        found.append(Line(says, day_words(fact.on), data={"fact": fact.id}))
    for fact in reversed(seen.facts.get("setting", [])):
        unit = fact.values["unit"] or fact.values["unit_number"]
        says = f"a paper says that a specialist set it{f' for control unit {unit}' if unit else ''}"
        found.append(Line(says, day_words(fact.on), keep=True, data={"fact": fact.id}))
    for fact in reversed(seen.facts.get("mishap", [])):
        mishap, text = fact.values["mishap"], fact.values["text"]
        says = f"{mishap}: {text}" if text else str(mishap)
        found.append(Line(says, day_words(fact.on), keep=True, data={"fact": fact.id}))
    return found


def said(seen: OnRecord) -> list[Line]:
    """Claims in their own words, with the role of who said so; never a name."""
    found = []
    for fact in seen.facts.get("claim", []):
        claim = fact.values
        proof = "nothing was shown for it" if claim["proof"] == "none" else f"shown for it: {claim['proof']}"
        source = "somebody not known" if claim["source"] == "not known" else f"the {claim['source']}"
        says = f'"{claim["said"]}", said by {source}; {proof}'
        found.append(Line(says, keep=claim["came_out"] == "fail", data={"fact": fact.id}))
    return found


def not_known(seen: OnRecord, expected: Sequence[str], paired: bool) -> list[Line]:
    """What could be known and is not. `expected`: the seals of its kind; `paired`: whether its mate is known."""
    line, shown = seen.line, {each.shows for each in seen.documents if each.media_type.startswith("image/")}
    decides = seen.evidence.serviceability.kind_modes.decides
    decided = {run.procedure for run in seen.evidence.runs if run.judgement.verdict in ("pass", "fail")}
    came = any(fact.values["how"] != "not known" for fact in seen.facts.get("provenance", []))
    gaps = (
        ("its kind", not line.kind or line.kind == "other"),
        ("its maker", not line.maker),
        ("its part number", not line.part_number),
        ("its serial", not line.serial and line.serial_state != "none on it"),
        (f"whether it works (test: {decides})", bool(decides) and decides not in decided),
        ("how it looks", not seen.facts.get("assessment")),
        ("the state of its seals", bool(expected) and not seen.on_part.seals),
        ("where it came from", not came),
        ("whether it is original to a car", not seen.facts.get("relation")),
        ("which part was set with it", line.kind in PAIRED_KINDS and not paired),
        ("how it looks as a whole: no picture", "whole" not in shown),
    )
    missing = [what for what, is_gap in gaps if is_gap]
    return [Line("; ".join(missing), data={"gaps": missing})] if missing else []
