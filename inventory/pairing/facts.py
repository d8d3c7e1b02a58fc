"""The kinds of fact for pairs: a specialist's paper, a reservation."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.facts.declare import FactDraft, FactKind, Values, one_by_one
from inventory.facts.values import named, text, word
from inventory.pairing.tables import RESERVATION_STATES, Reservation, Setting
from inventory.store.words.names import one_of

__all__ = ["FACTS"]


def _validate_setting(session: Session, draft: FactDraft) -> None:
    from inventory.pairing.actions import checked_setting  # it grades pairs, which few commands need

    draft.columns.update(checked_setting(session, draft.columns))


def _validate_reservation(_session: Session, draft: FactDraft) -> None:
    one_of("word on keeping back", draft.columns["state"], RESERVATION_STATES, "state of a reservation")


def _setting_says(values: Values) -> str:
    said = (
        "set by a specialist",
        *(f"for {values[name]}" for name in ("unit", "unit_number") if values.get(name)),
        values.get("unit_code") and f"code {values['unit_code']}",
        values.get("document"),
    )
    return "  ".join(each for each in said if each)


FACTS = (
    FactKind(
        Setting,
        "setting",
        ("part",),
        (
            named("document", "document", needed=True),
            named("unit", "part"),
            text("unit number", "HV 310 002", short=True),
            text("unit code", "K"),
        ),
        validate=one_by_one(_validate_setting),
        says=_setting_says,
        how_known="document",
    ),
    FactKind(
        Reservation,
        "reservation",
        ("part",),
        (word("state", "word on keeping back", RESERVATION_STATES, needed=True), text("why", "for the grey saloon")),
        validate=one_by_one(_validate_reservation),
        says=lambda values: "  ".join(each for each in (values["state"], values.get("why")) if each),
        how_known="stated",
        travels="no",
    ),
)
"""Facts about settings and reservations."""
