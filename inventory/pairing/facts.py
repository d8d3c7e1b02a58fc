"""What can be said of a part for its pairs: a specialist's paper, and that it is kept back."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.facts.declare import FactKind, Told, Values, one_by_one
from inventory.facts.values import named, text, word
from inventory.pairing.actions import STATES, checked_setting
from inventory.pairing.tables import Reservation, Setting
from inventory.store.names import one_of

__all__ = ["FACTS"]


def _settle_setting(session: Session, told: Told) -> None:
    told.columns.update(checked_setting(session, told.columns))


def _settle_reservation(_session: Session, told: Told) -> None:
    one_of("word on keeping back", told.columns["state"], STATES, "state of a reservation")


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
        settle=one_by_one(_settle_setting),
        says=_setting_says,
        how_known="document",
    ),
    FactKind(
        Reservation,
        "reservation",
        ("part",),
        (word("state", "word on keeping back", STATES, needed=True), text("why", "for the grey saloon")),
        settle=one_by_one(_settle_reservation),
        says=lambda values: "  ".join(each for each in (values["state"], values.get("why")) if each),
        how_known="stated",
    ),
)
"""A specialist's paper, and what is kept out of pairs."""
