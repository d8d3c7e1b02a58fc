"""The kinds of facts about labels."""

from __future__ import annotations

import json
from dataclasses import replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Values, one_by_one
from inventory.facts.values import text, whole
from inventory.labels.codes import CAR_SIDES, CarSideCode
from inventory.labels.queries import refuse_misfit, tags_of
from inventory.labels.tables import CarSideLabel
from inventory.parts import tags
from inventory.parts.tables import Labelling, LabelRoll, Part

__all__ = ["FACTS"]


def _validate_car_side(session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    if columns["number"] not in range(1, CAR_SIDES + 1):
        raise Refused("car-side-number", f"Car-side labels are C1 to C{CAR_SIDES}", where="number")
    if not columns["stuck_on"]:
        raise Refused("nothing-said", "Say what the label is on: plug, hose, bracket", where="stuck on")
    tag = session.scalar(select(Part.tag).where(Part.id == draft.thing_id)) or ""
    columns["of_tag"] = tags.parse(columns["of_tag"]) if columns["of_tag"] else tag
    code = CarSideCode(columns["of_tag"], columns["number"])
    if tag:
        refuse_misfit(session, code, tag, tags_of(session, draft.thing_id), but=draft.old.id if draft.old else None)


def _roll_says(values: Values) -> str:
    sets = len(json.loads(values["tags"]))
    return f"roll {values['number']}: {sets} sets of labels, each with {values['car_sides']} for the car side"


FACTS = (
    FactKind(
        Labelling,
        "labelling",
        ("part",),
        says=lambda values: f"{values['why']}: labelled {values['label']}, before {values['was']}",
        section=Section("labellings", "Labels"),
        row_input="labellings",
        searched=("was",),
        not_correctable=(
            "A change of label cannot be corrected: take it back, or change the label again",
            "matchmark labels wrong OLD NEW",
        ),
        how_known="stated",
        travels="no",
    ),
    FactKind(
        CarSideLabel,
        "car-side label",
        ("part",),
        (
            whole("number", "1", "2"),
            replace(text("stuck on", "plug", "vacuum hose"), needed=True),
            text("of tag"),
        ),
        validate=one_by_one(_validate_car_side),
        says=lambda values: f"{values['of_tag']} C{values['number']} on {values['stuck_on']}",
        section=Section("car_side_labels", "Labels on the car side", "Where"),
        travels="no",
    ),
    FactKind(
        LabelRoll,
        "roll of labels",
        ("record",),
        says=_roll_says,
        not_correctable=("A roll cannot be corrected: print another", "matchmark labels --blank N -o FILE"),
        how_known="stated",
    ),
)
"""Which label is on a part, what car-side labels are on, and the rolls that were printed."""
