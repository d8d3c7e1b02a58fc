"""Writing down what hardware lies where."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.write import write
from inventory.hardware.rubber import cure_code
from inventory.hardware.tables import HardwareStock
from inventory.people.actions import begin_act
from inventory.places.actions import new_place
from inventory.places.queries import place_meant
from inventory.store.days.dates import when_on
from inventory.store.facts import fact_id, make_fact
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean

__all__ = ["count_stock"]

_MOST = 9999


def count_stock(
    session: Session,
    by: str,
    spec: str,
    count: int,
    place: str,
    *,
    batch: str | None = None,
    cured: str | None = None,
    on: str | None = None,
) -> str:
    """Write down how many of one thing lie at a place; a new place is entered. Returns the fact's id.

    `cured`: quarter and year, "3/94". Raises `Refused` for an empty text, a count out of range, a wrong quarter.
    """
    if not clean(spec):
        raise Refused("nothing-said", "Say what it is, for example: M6x20 hex")
    if not 0 <= count <= _MOST:
        raise Refused("count-out-of-range", f"A count is 0 to {_MOST}, not {count}", where="--count")
    quarter = cure_code(cured) if cured else ""
    if cured and not quarter:
        raise Refused(
            "not-a-cure-code",
            f'"{cured}" is not a quarter and year of cure',
            where="--cured",
            hint="write quarter and year as on the rubber: 3/94, or 1994-Q3",
        )
    known = place_meant(session, name_given("name of the place", place))
    act = begin_act(session, "hardware stock", by, *([known.id] if known is not None else []))
    when = when_on(on, act.today)
    key, rows = (known.id, []) if known is not None else new_place(session, act, place, when)
    values: dict[str, object] = {
        "spec": clean(spec),
        "count": count,
        "batch": clean(batch or "") or None,
        "cured": quarter or None,
    }
    fact = make_fact(HardwareStock, act, key, when, how_known="seen", **values)
    write(session, act, [*rows, fact])
    return fact_id(HardwareStock, fact.id)
