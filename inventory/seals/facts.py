"""The kind of fact for a seal: one look at it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Sheet, Values, one_by_one
from inventory.facts.values import paper_named, text, word
from inventory.seals.actions import meant_seal
from inventory.seals.states import STATES
from inventory.seals.tables import SealSighting
from inventory.store.words.names import one_of

__all__ = ["FACTS", "checked_sighting"]


def checked_sighting(seal: str | None, state: str | None) -> tuple[str, str]:
    """The name and state of a seal, checked."""
    if not seal:
        raise Refused("seal-without-name", "Say which seal", hint="for example: cap, case label, sealant")
    one_of("seal state", state or "", STATES)
    return seal, state or ""


def _validate(_session: Session, draft: FactDraft) -> None:
    checked_sighting(draft.columns["seal"], draft.columns["state"])


def _says(values: Values) -> str:
    return f"{values['seal']} {values['state']}" + (f" ({values['document']})" if values.get("document") else "")


def _seen(fact: Any) -> str:
    return f"{fact.seal} looked at" if fact.state != "not seen" else ""


FACTS = (
    FactKind(
        SealSighting,
        "seal",
        ("part",),
        (
            replace(text("seal", "cap", "case label", folded=True, needed=True, is_name=True), meant=meant_seal),
            word("state", "seal state", STATES, list_="seal state", needed=True),
            paper_named(),
        ),
        validate=one_by_one(_validate),
        says=_says,
        section=Section("seals", "Seals"),
        sheet=Sheet(
            "seals",
            ("seal", "state", "on", "how known", "seen by", "seen on", "document"),
            frozenset({"seal", "state"}),
        ),
        row_input="sightings",
        seen_how=_seen,
        travels="as such",
    ),
)
"""A look at a seal of a part."""
