"""What a sheet, a seller or a passport says of a part's letter, number or serial against what we read on it. Pure.

It lowers nothing and stops nothing: our own reading counts, and the word against it is named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from inventory.contradictions.looks import FROM_THE_PART, LETTER, OWN, Contradiction, by_age, look_from
from inventory.facts.order import in_order
from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import squeeze

__all__ = ["remarks_of"]


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
    return fact.how_known in OWN and from_the_part
