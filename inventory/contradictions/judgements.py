"""What does not fit on a part: its seals, its letter, where it is. Pure: facts come in, in any order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from inventory.contradictions.letters import Letter, letter_of
from inventory.contradictions.looks import Contradiction
from inventory.contradictions.remarks import remarks_of
from inventory.contradictions.seals import Seal, seals_of
from inventory.contradictions.whereabouts import Whereabouts

__all__ = ["OnPart", "judged"]


@dataclass(frozen=True)
class OnPart:
    """What counts of a part's seals, letter and whereabouts, and what does not fit."""

    seals: Mapping[str, Seal] = field(default_factory=dict)
    letter: Letter = field(default_factory=lambda: Letter(()))
    where: Whereabouts = field(default_factory=Whereabouts)
    remarks: tuple[Contradiction, ...] = ()

    @property
    def every(self) -> tuple[Contradiction, ...]:
        """Everything that does not fit: open, settled by word only, and remarks."""
        of_seals = (seal.contradiction for seal in self.seals.values())
        found = [
            each for each in (*of_seals, self.letter.contradiction, *self.where.contradictions) if each is not None
        ]
        named = {each.about for each in found}
        return (*found, *(each for each in self.remarks if each.about not in named))

    @property
    def open(self) -> tuple[Contradiction, ...]:
        """What is open, and so lowers."""
        return tuple(each for each in self.every if each.open)


def judged(
    sightings: Iterable[Any],
    markings: Iterable[Any],
    settlements: Iterable[Any],
    until: str,
    where: Whereabouts = Whereabouts(),  # noqa: B008 - frozen
) -> OnPart:
    """What counts on an ISO day, from all facts known. A letter does not change: with none read by then a later one.

    `where`: what does not fit about its whereabouts on that day.
    """
    settling = [fact for fact in settlements if fact.counts_from <= until]
    marked = list(markings)
    coded = [fact for fact in marked if fact.match_code]
    letters = [fact for fact in coded if fact.counts_from <= until] or coded
    return OnPart(
        seals_of((fact for fact in sightings if fact.counts_from <= until), settling),
        letter_of(letters, settling),
        where,
        remarks_of(fact for fact in marked if fact.counts_from <= until),
    )
