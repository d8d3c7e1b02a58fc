"""What can be said of people and papers, where a part came from and went, and what left the house."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused, UnknownName
from inventory.facts.declare import Cell, FactKind, Section, Sheet, ThingKind, Told, Value, Values, one_by_one
from inventory.facts.described import last_words
from inventory.facts.values import amount, currency, named, text, word
from inventory.parts.judgements import CAME
from inventory.provenance.actions import ATTRIBUTIONS, HOW, LANES, WHOSE, WHOSE_AFTER
from inventory.provenance.documents import SHOWS
from inventory.provenance.hands import HAND, find_contacts
from inventory.provenance.queries import names_of_people
from inventory.provenance.tables import (
    Attachment,
    Contact,
    ContactDescription,
    Document,
    GivenOut,
    Provenance,
    SheetMapping,
)
from inventory.store import personal
from inventory.store.many import among
from inventory.store.names import nearest, one_of
from inventory.store.text import clean, fold, short_enough
from inventory.worth.money import checked_amount

__all__ = ["FACTS", "THINGS"]


def _personal(name: str, example: str) -> Value:
    """A text about a person: it lies apart, and the fact holds its digest."""
    column = f"{name}_digest"

    def read(said: str, _cell: Cell) -> dict[str, Any]:
        return {column: short_enough(name, said) or None}

    def show(values: Values) -> str:
        return str(values.get(column) or "")

    return Value(name, read, show, lambda one, other: one.get(column) == other.get(column), (example,))


def _settle_person(session: Session, told: Told) -> None:
    """Keep texts about a person apart. Refuses what was removed for good, and a role that makes or unmakes a hand."""
    old, columns = told.old, told.columns
    if old is None:
        raise Refused("written-elsewhere", "A person cannot be added this way", hint="matchmark contact add NAME")
    contact = session.get_one(Contact, told.thing_id)
    digest = contact.name_digest or ""
    if old.blanked or personal.read(session, {digest}).get(digest) == personal.BLANKED:
        raise Refused("person-removed", "This person's data were erased")
    if columns["role"] != old.role and HAND in (columns["role"], old.role):
        raise Refused(
            "role-of-a-hand",
            'The role "hand" marks people who write in the record. It cannot be given or taken away',
            hint='add the person as another contact: matchmark contact add "NAME" --role ROLE',
        )
    for column in ("address_digest", "telephone_digest"):
        said, held = columns[column], getattr(old, column)
        if said is None or said == held:
            continue
        if personal.read(session, {held or ""}).get(held or "") == said:
            columns[column] = held
        else:
            kept = personal.keep(told.thing_id, said)
            columns[column] = kept.digest
            told.beside.append(kept)


def _people_stay(_session: Session, rows: Sequence[Any]) -> None:
    """What was corrected of a person or removed stays: the old text may be gone."""
    if rows:
        raise Refused(
            "fact-fixed",
            "A person's data cannot be taken back one by one",
            hint="to correct it: matchmark fact correct; to erase them for good: matchmark contact blank",
        )


def _settle_provenance(_session: Session, told: Told) -> None:
    columns = told.columns
    one_of("way of coming or going", columns["how"], HOW, "how")
    one_of("lane", columns["lane"], LANES)
    one_of("owner", columns["whose"], WHOSE)
    one_of("attribution", columns["attribution"], ATTRIBUTIONS)
    if columns["price"] is not None:
        columns["price"], columns["currency"] = checked_amount(columns["price"], columns["currency"] or "")
    columns["whose"] = columns["whose"] or WHOSE_AFTER.get(columns["how"])
    told.how_known = columns["attribution"] or ""


def _provenance_says(values: Values) -> str:
    price = f"{values['price']} {values['currency']}" if values.get("price") else None
    said = (values.get("how"), values.get("party"), price, values.get("text"))
    return "  ".join(str(each) for each in said if each)


def _came(fact: Any) -> str:
    came = fact.how in CAME and fact.how != "not known" and fact.attribution == "seen by us"
    return f"came in: {fact.how}" if came else ""


def _settle_attachment(_session: Session, told: Told) -> None:
    one_of("use of a document", told.columns["shows"], SHOWS, "kind of picture or paper")


def _pictured(fact: Any) -> str:
    seen = fact.how_known in ("seen", "measured") and fact.shows not in ("paper", "other")
    return f"picture: {fact.shows}" if seen else ""


def _given_stays(_session: Session, _rows: Sequence[Any]) -> None:
    raise Refused("fact-fixed", "A file that was given out cannot be called back", hint="give out a new one")


FACTS = (
    FactKind(
        Provenance,
        "provenance",
        ("part",),
        (
            word("lane", "lane", LANES, needed=True),
            word("how", "way of coming or going", HOW, needed=True),
            word("whose", "owner", WHOSE, list_="whose"),
            named("party", "contact", "Ilvar Teske"),
            word("attribution", "attribution", ATTRIBUTIONS, needed=True),
            amount("price", "310.00"),
            currency("price"),
            named("document", "document"),
            text("text", "from the estate sale"),
        ),
        settle=one_by_one(_settle_provenance),
        says=_provenance_says,
        section=Section("provenance", "From", "From"),
        sheet=Sheet(
            "provenance",
            ("lane", "how", "whose", "party", "on", "attribution", "price", "currency", "text"),
            frozenset({"how"}),
            {"lane": "title", "attribution": "inferred"},
        ),
        for_now="provenance",
        shows_part=_came,
    ),
    FactKind(
        Attachment,
        "attachment",
        ("part", "car", "instrument"),
        (named("document", "document", needed=True), word("shows", "use of a document", SHOWS, needed=True)),
        settle=one_by_one(_settle_attachment),
        says=lambda values: f"{values.get('document')}, shows {values.get('shows')}",
        section=Section("documents", "Pictures and papers", "Pictures"),
        shows_part=_pictured,
    ),
    FactKind(
        ContactDescription,
        "contact",
        ("contact",),
        (text("role", "dealer"), _personal("address", "Mill Lane 4"), _personal("telephone", "0555 0142")),
        settle=one_by_one(_settle_person),
        says=lambda _: "a person written down",
        for_now="told",
        may_go=_people_stay,
        stays=lambda _, rows: {row.id for row in rows if not row.reason},
    ),
    FactKind(
        GivenOut,
        "file given out",
        ("record",),
        may_go=_given_stays,
        fixed=("A file that was given out cannot be called back", "give out a new one"),
    ),
    FactKind(
        SheetMapping,
        "way of reading sheets",
        ("record",),
        says=lambda values: f"answers kept for sheets headed {', '.join(json.loads(values['answers']))}",
        fixed=(
            "Saved answers for sheets cannot be corrected: save them again or take them back",
            "matchmark sheet read FILE --keep-answers",
        ),
    ),
)
"""Where a part came from, its papers, and people."""


def _find_contact(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    found = [contact.id for contact in find_contacts(session, typed)]
    if found:
        return min(found)
    names = names_of_people(session, session.scalars(select(Contact.id)))
    raise UnknownName("contact", typed, nearest(typed, list(names.values())))


def _find_document(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    names = dict(session.execute(select(Document.id, Document.file_name)).all())
    found = [key for key, name in names.items() if fold(name) == fold(clean(typed))]
    if not found:
        raise UnknownName("document", typed, nearest(typed, list(names.values())))
    if len(found) > 1:
        raise Refused("several-documents", f'{len(found)} documents are called "{clean(typed)}"')
    return found[0]


def _document_names(session: Session, keys: Iterable[int]) -> dict[int, str]:
    rows = session.execute(select(Document.id, Document.file_name).where(among(Document.id, keys)))
    return dict(rows.all())


THINGS = (
    ThingKind(
        "contact",
        Contact,
        _find_contact,
        names_of_people,
        last_words("role", "name_digest", "address_digest", "telephone_digest"),
    ),
    ThingKind("document", Document, _find_document, _document_names),
)
"""People and papers."""
