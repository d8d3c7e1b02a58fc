"""The kinds of facts about parts and part numbers."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused, UnknownName
from inventory.facts.declare import FactDraft, FactKind, Section, Sheet, ThingKind, Values, one_by_one
from inventory.facts.how_known import FROM_A_SHEET
from inventory.facts.values import amount, currency, kind_of_part, named, text, whole, word
from inventory.money import checked_amount
from inventory.parts.assessing import TRADE_CLASSES, YES_NO, refuse_assessment
from inventory.parts.judgements import PartFacts, current, label_of
from inventory.parts.markings import CODE_STATES, READ_FROM, SERIAL_STATES, Markings, checked, kept_letter, seen_state
from inventory.parts.queries import part_row
from inventory.parts.tables import (
    Assessment,
    Fit,
    Marking,
    Note,
    ObjectDescription,
    OwnNumber,
    Part,
    PartNumber,
    Relation,
    Supersession,
    Together,
    UnreadCell,
    Work,
)
from inventory.reference.data import reference_of
from inventory.store.many import among
from inventory.store.words import search
from inventory.store.words.names import nearest, one_of
from inventory.store.words.text import fold, squeeze

__all__ = ["AREAS", "FACTS", "RELATIONS", "THINGS", "search_text_of"]

AREAS = ("outside", "on the unit")
RELATIONS = ("original", "same type and time", "later", "reproduction", "not known")


def _listed(*words: Any) -> str:
    """Words separated by two blanks, without the empty ones."""
    return "  ".join(str(each) for each in words if each not in (None, ""))


def _marking_says(values: Values) -> str:
    code, state, read_from = (values.get(name) for name in ("match_code", "match_code_state", "match_code_read_from"))
    coded = f"code {code}{f', from {read_from}' if read_from else ''}" if code else f"code {state}" if state else None
    return "read: " + _listed(
        values.get("kind"),
        values.get("maker"),
        values.get("part_number"),
        f"serial {serial}" if (serial := values.get("serial") or values.get("serial_state")) else None,
        f"date code {values['date_code']}" if values.get("date_code") else None,
        coded,
        values.get("marks"),
    )


def _validate_marking(session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    old = draft.old
    if (
        old is not None
        and columns["match_code"] != old.match_code
        and columns["match_code_state"] == old.match_code_state
    ):
        columns["match_code_state"] = "read" if columns["match_code"] else None  # the state goes with the code
    if old is not None and columns["serial"] != old.serial and columns["serial_state"] == old.serial_state:
        columns["serial_state"] = None
    extra = json.loads(columns["extra"]) if columns["extra"] else None
    read = checked(Markings(**{**columns, "extra": extra}), reference_of(session))
    if old is None:
        read = kept_letter(read, seen_state(session.get(Part, draft.thing_id)))
    columns.update(read.columns())


def _validate_assessment(_session: Session, draft: FactDraft) -> None:
    refuse_assessment(draft.columns, corrected=draft.old is not None)


def _assessment_says(values: Values) -> str:
    category = values.get("category")
    looks = "condition not given" if category is None else f"condition {category} of 0-3"
    missing, stated = values.get("missing"), values.get("trade_class")
    unseen = values.get("unseen")
    opened = {"yes": "opened", "no": "closed"}.get(values.get("opened") or "")
    return _listed(
        looks if category is not None or not stated else None,
        values.get("damage"),
        f"missing: {missing}" if missing else None,
        values.get("trend"),
        stated,
        values.get("why"),
        values.get("light"),
        opened,
        f"could not be seen: {unseen}" if unseen else None,
    )


def _validate_description(_session: Session, draft: FactDraft) -> None:
    if not any(draft.columns[name] for name in ("measurements", "material", "features", "marks_sit")):
        raise Refused("nothing-said", "Say what the part can be known by", where="features")


def _validate_relation(_session: Session, draft: FactDraft) -> None:
    one_of("relation to the car", draft.columns["relation"], RELATIONS, "relation")


def _validate_work(_session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    one_of("place of work", columns["area"], AREAS, "area")
    if columns["cost"] is not None:
        columns["cost"], columns["currency"] = checked_amount(columns["cost"], columns["currency"] or "")


def _work_says(values: Values) -> str:
    labelled = (("batch", "batch"), ("done_by", "by"), ("taken_off", "taken off:"))
    more = (f"{label} {values[name]}" for name, label in labelled if values.get(name))
    cost = f"{values['cost']} {values['currency']}" if values.get("cost") else None
    undone = {"yes": "can be undone", "no": "cannot be undone"}.get(values.get("reversible") or "")
    open_ports = "ports and plug were not covered" if values.get("covered") == "no" else None
    return _listed(values["what"], f"({values['area']})", values.get("product"), *more, cost, undone, open_ports)


def _validate_fit(_session: Session, draft: FactDraft) -> None:
    one_of("word on fitting", draft.columns["fits"], YES_NO, "answer to fits")


def _validate_together(_session: Session, draft: FactDraft) -> None:
    if draft.old is None:
        raise Refused(
            "written-elsewhere",
            "This fact cannot be added by itself",
            hint="matchmark teardown log --with TAG, matchmark part apart TAG",
        )
    if draft.columns["other_id"] == draft.thing_id:
        raise Refused("as-one-with-itself", "A part cannot come off as one with itself")


#: Other headers for a number of one's own, and for what it was given in.
_NUMBERED = (
    "own number",
    "inventory number",
    "Inventarnummer",
    "Inventar-Nr.",
    "numéro d'inventaire",
    "numero d'inventario",
)
_GIVEN_IN = ("its list", "list it is from", "Liste", "liste d'origine", "elenco")
_HEADERS = ("its header", "heading", "Überschrift", "en-tête", "intestazione")
_FOR_COLUMN = ("meant for", "column meant", "gemeinte Spalte", "colonne visée", "colonna intesa")
FACTS = (
    FactKind(
        Marking,
        "marking",
        ("part",),
        (
            kind_of_part(),
            text("maker", "Ostrell", "Halvard Electric", is_name=True),
            text("part number", "HV 204 118", "0-311", is_name=True),
            text("serial", "71-40822", "0042", is_name=True),
            word("serial state", "serial state", SERIAL_STATES),
            text("date code", "22/71", is_name=True),
            replace(text("match code", "K", "12"), is_name=True),
            word("match code state", "match code state", CODE_STATES, list_="code state"),
            word("match code read from", "origin of a match code", ("part", *READ_FROM), list_="read from"),
            text("marks", "two dots of green paint"),
        ),
        validate=one_by_one(_validate_marking),
        says=_marking_says,
        section=Section("markings", "Read on it"),
        row_input="markings",
        seen_how=lambda _: "marks read",
        travels="as such",
    ),
    FactKind(
        OwnNumber,
        "own number",
        ("part",),
        (
            replace(
                text("number", "W-0147", "inv. 12", needed=True, is_name=True),
                help="the number that a keeper of the part gave it",
                headings=_NUMBERED,
            ),
            replace(
                text("given in", "Unsere Nr.", "shelf list"),
                help="the column or list that it stood in",
                headings=_GIVEN_IN,
            ),
        ),
        says=lambda values: _listed(f"numbered {values['number']}", values.get("given_in")),
        section=Section("own_numbers", "Numbered by who kept it", "Who"),
        sheet=Sheet(
            "own numbers",
            ("number", "given in", "on", "how known", "seen by", "seen on"),
            frozenset({"number", "given in"}),
        ),
        searched=("number",),
        travels="as such",
    ),
    FactKind(
        UnreadCell,
        "unread cell",
        ("part",),
        (
            replace(text("header", "Wert", needed=True), help="the header of the sheet", headings=_HEADERS),
            replace(text("for column", "value", "kind"), help="the column it was taken for", headings=_FOR_COLUMN),
            text("text", "about 80 EUR", "see the other list", needed=True),
        ),
        says=lambda values: f'not read, under "{values["header"]}": {values["text"]}',
        section=Section("unread_cells", "Not read in a sheet"),
        sheet=Sheet("unread cells", ("header", "for column", "text", "on", "how known"), frozenset({"header", "text"})),
        searched=("text",),
        how_known=FROM_A_SHEET,
        travels="no",
    ),
    FactKind(
        Note,
        "note",
        ("part", "car", "position", "part number", "place", "instrument"),
        (text("text", "one stud bent", needed=True, lines=True),),
        says=lambda values: str(values["text"]),
        section=Section("notes", "Notes"),
        searched=("text",),
        travels="as such",
    ),
    FactKind(
        Assessment,
        "assessment",
        ("part",),
        (
            whole("category", "0", "1", "2", "3"),
            text("damage", "cracked flange"),
            text("missing", "one grommet"),
            text("trend", "stable"),
            text("why", "for the insurer's list"),
            text("light", "daylight"),
            word("opened", "answer to opened", YES_NO),
            text("unseen", "the underside"),
            word("trade class", "class of the trade", TRADE_CLASSES),
        ),
        validate=one_by_one(_validate_assessment),
        says=_assessment_says,
        section=Section("assessments", "How it looks"),
        searched=("damage", "missing"),
        row_input="assessments",
        seen_how=lambda _: "looked over",
        travels="as such",
    ),
    FactKind(
        ObjectDescription,
        "description",
        ("part",),
        (
            text("measurements", "62 x 48 x 40 mm"),
            text("material", "die-cast case, yellow plated cover"),
            text("features", "scribed line across the cover"),
            text("marks sit", "on the cover, above the plug"),
        ),
        validate=one_by_one(_validate_description),
        section=Section("descriptions", "Description", "Who"),
        searched=("features",),
        seen_how=lambda _: "described",
        travels="as such",
    ),
    FactKind(
        Relation,
        "relation to the car",
        ("part",),
        (
            named("car", "car"),
            word("relation", "relation to the car", RELATIONS, needed=True),
            text("says", "the build sheet names its number"),
        ),
        validate=one_by_one(_validate_relation),
        says=lambda values: _listed(values["relation"], values.get("car"), values.get("says")),
        section=Section("relations", "Relation to the car", "From"),
        how_known="stated",
    ),
    FactKind(
        Work,
        "work",
        ("part",),
        (
            text("what", "new mounts", needed=True),
            word("area", "place of work", AREAS, needed=True),
            text("product", "zinc primer"),
            text("batch", "2025-Q3"),
            text("done by", "the plater"),
            amount("cost", "45.00"),
            currency("cost"),
            word("reversible", "answer to whether it can be undone", YES_NO),
            text("taken off", "old mounts, in the box of old parts"),
            word("covered", "answer to whether ports and plug were covered", YES_NO),
        ),
        validate=one_by_one(_validate_work),
        says=_work_says,
        section=Section("work", "Work", "Done"),
        searched=("what", "product", "batch", "done_by", "taken_off"),
        seen_how=lambda _: "worked on",
        travels="as such",
    ),
    FactKind(
        Supersession,
        "supersession",
        ("part number",),
        (named("by number", "part number", "HV 204 119", needed=True),),
        says=lambda values: f"replaced by {values['by_number']}",
        how_known="from a list",
    ),
    FactKind(
        Fit,
        "fit",
        ("part number",),
        (
            named("unit number", "part number", "HV 310 002", needed=True),
            word("fits", "word on fitting", YES_NO, needed=True),
        ),
        validate=one_by_one(_validate_fit),
        says=lambda values: f"{'works' if values['fits'] == 'yes' else 'does not work'} with {values['unit_number']}",
        how_known="from a list",
    ),
    FactKind(
        Together,
        "together",
        ("part",),
        (named("other", "part", needed=True), word("apart", "word on being parted", YES_NO)),
        validate=one_by_one(_validate_together),
        says=lambda values: (
            f"{'parted from' if values.get('apart') == 'yes' else 'came off as one with'} {values['other']}"
        ),
        section=Section("together", "Came off as one", "Where"),
    ),
)
"""The kinds of facts about parts and part numbers."""


def _find_part(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    return part_row(session, typed).id


def _tags(session: Session, keys: Iterable[int]) -> dict[int, str]:
    return dict(session.execute(select(Part.id, Part.tag).where(among(Part.id, keys))).all())


def _now(facts: Mapping[str, Sequence[Any]], held: Mapping[str, Any]) -> dict[str, Any]:
    told = {name: told for name, told in facts.items() if name != "labellings"}
    label = label_of(facts.get("labellings", ()), held["tag"], held["first_label"])
    return {**current(PartFacts(**told)).columns(), **label}


def search_text_of(
    part: Mapping[str, Any],
    names: Mapping[str, str | None],
    notes: Iterable[str | None],
    whole: Iterable[str] = (),
    folded: Callable[[str], str] = fold,
) -> str:
    """The search text of a part: from the columns of its row, the names of car, position and place, and remarks.

    `whole`: texts that short words find as a whole, such as the number of a bag.
    `folded`: `fold`, or a cached form of it. If all facts of a part were taken back, no search finds it.
    """
    if part["kind"] is None:
        return search.search_text((), (), folded)
    extra = json.loads(part["extra"]) if part["extra"] else {}
    plain = (part[name] for name in _SEARCHED)
    fields = [*plain, *extra.values(), names.get("car_id"), names.get("position_id"), *notes]
    whole_ones = (part["match_code"], part["seal_state"], part["condition"], names.get("place_id"), *whole)
    return search.search_text(fields, whole_ones, folded)


_SEARCHED = ("tag", "kind", "maker", "part_number", "serial", "date_code", "marks", "whose")


def _find_number(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    known = dict(session.execute(select(PartNumber.squeezed, PartNumber.id)).all())
    if (key := known.get(squeeze(typed))) is not None:
        return key
    written = list(session.scalars(select(PartNumber.written)))
    raise UnknownName("part number", typed, nearest(typed, written))


def _numbers(session: Session, keys: Iterable[int]) -> dict[int, str]:
    rows = session.execute(select(PartNumber.id, PartNumber.written).where(among(PartNumber.id, keys)))
    return dict(rows.all())


THINGS = (
    ThingKind("part", Part, _find_part, _tags, _now, search_text_of),
    ThingKind("part number", PartNumber, _find_number, _numbers),
)
"""Parts and part numbers."""
