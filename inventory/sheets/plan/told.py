"""What a sheet says of how its parts came and of the days it does not name: never more than is written there. Pure."""

from __future__ import annotations

import re
from datetime import date

from inventory.sheets.columns.cells import UNDATED
from inventory.sheets.columns.layout import SheetLayout
from inventory.store.days.dates import FIRST_DAY, When, when_on

__all__ = ["CAME_AS", "how_it_came", "kept_up_to", "lane_of", "says_bought", "undated"]

#: How a part came, by whose it is.
CAME_AS = {"customer's": "left here by a customer", "lent in": "lent in", "lent out": "lent out"}
#: Headers that say of every price or day under them that the part was bought.
_BOUGHT = re.compile(r"bought|purchas|kauf|achat|achet|acquist|comprat|comper", re.IGNORECASE)
_OF_COMING = frozenset({"acquired on", "acquired from", "price"})


def undated(today: date) -> When:
    """The time of a fact without a day: some day up to today."""
    return When(f"../{today.isoformat()}", UNDATED, FIRST_DAY, today)


def kept_up_to(on: str | None, today: date) -> When:
    """Up to which day a sheet was kept; if nobody says, some day up to today: so it is newer than no look of ours."""
    return when_on(on, today) if on and on.strip() else undated(today)


def says_bought(sheet: SheetLayout) -> bool:
    """Whether a header of a sheet of parts says that they were bought ("Kaufpreis"); "price" alone does not."""
    return any(each.column in _OF_COMING and _BOUGHT.search(each.header) for each in sheet.headings)


def how_it_came(whose: str, *, bought: bool) -> str:
    """How a part came; `bought`: the sheet says that its parts were bought."""
    how = CAME_AS.get(whose, "bought" if bought else "not known")
    return "not known" if how == "lent out" else how


def lane_of(whose: str) -> str:
    """Whether whose a part is concerns its title or its custody."""
    return "custody" if whose in ("customer's", "lent in") else "title"
