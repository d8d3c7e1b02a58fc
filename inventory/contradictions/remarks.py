"""What is remarked and lowers nothing. Pure.

What a sheet, a seller or a passport says of a part's letter, number or serial against what we read on it: our own
reading counts, and the word against it is named. A date code after its car's year of make. One serial on two parts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from inventory.contradictions.date_codes import last_year_of, made_in
from inventory.contradictions.looks import FROM_THE_PART, LETTER, Contradiction, by_age, look_from
from inventory.facts.how_known import is_own
from inventory.facts.order import in_order
from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import squeeze

__all__ = ["DATE_CODE", "SERIAL_TWICE", "made_after", "remarks_of", "serial_twice"]

DATE_CODE, SERIAL_TWICE = "date code", "serial twice"


def remarks_of(markings: Iterable[Any]) -> tuple[Contradiction, ...]:
    """The words against our own last reading, one for each of letter, part number and serial."""
    every = in_order(markings)
    read: dict[str, Callable[[Any], str | None]] = {
        LETTER: lambda fact: fact.match_code if fact.match_code_state in (None, "read") else None,
        "part number": lambda fact: fact.part_number,
        "serial": lambda fact: fact.serial,
    }
    found = []
    for about, value in read.items():
        told = [(fact, said) for fact in every if (said := value(fact)) and not nothing_in(said)]
        ours = [each for each in told if _own(each[0], about)]
        others = [each for each in told if not _own(each[0], about)]
        if not ours or not others or squeeze(ours[-1][1]).upper() == squeeze(others[-1][1]).upper():
            continue
        looks = by_age(look_from(fact, "marking", "", said, None) for fact, said in (ours[-1], others[-1]))
        found.append(Contradiction(about, looks, f"our own reading counts: {ours[-1][1]}", remark=True))
    return tuple(found)


def _own(fact: Any, about: str) -> bool:
    from_the_part = about != LETTER or (fact.match_code_read_from or "part") in FROM_THE_PART
    return is_own(fact) and from_the_part


def made_after(marking: Any, on_car: Any) -> Contradiction | None:
    """The remark that a part was made after a car it was on; None if it was not, or if nobody can tell.

    `marking`: the row of the date code. `on_car`: the row of a fitting or removal, with `car`, `year` and `table`.
    """
    made, car_made = made_in(marking.date_code), last_year_of(on_car.year)
    if made is None or car_made is None or made <= car_made:
        return None
    did = "fitted to" if on_car.table == "fitting" else "came off"
    looks = by_age(
        (
            look_from(marking, "marking", "", marking.date_code, None),
            look_from(on_car, on_car.table, "", f"{did} {on_car.car} (made {on_car.year})", None),
        )
    )
    return Contradiction(DATE_CODE, looks, f"the part was made in {made}, after the car", remark=True)


def serial_twice(markings: Iterable[Any], tags: Iterable[str]) -> Contradiction:
    """The remark that parts of one kind and number have one serial. `markings`: the row of each part's serial."""
    looks = by_age(
        look_from(fact, "marking", "", f"{tag} has {fact.serial}", None)
        for fact, tag in zip(markings, tags, strict=True)
    )
    return Contradiction(SERIAL_TWICE, looks, "a serial is misread, or one part has two tags", remark=True)
