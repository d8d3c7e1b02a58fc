"""What the parts in the house are worth now: totals as on a condition list, what is dearest, whose value is due."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from inventory.condition_list.held_on import months_before
from inventory.condition_list.queries import gather
from inventory.condition_list.totals import Totals, security_of, totals_of
from inventory.condition_list.value_due import ValueDue, values_due
from inventory.condition_list.value_proof import Proof, proofs
from inventory.money import BASES
from inventory.store.bulk import collector_resting
from inventory.store.days.zone import today_in
from inventory.store.facts import NOW
from inventory.store.words.names import one_of

__all__ = ["Worth", "worth"]


@dataclass(frozen=True)
class Worth:
    """The totals of today on a basis, the number of items, the parts whose value is due, and what proves each part."""

    basis: str
    items: int
    totals: Totals
    due: list[ValueDue]
    proofs: list[Proof]


def worth(session: Session, basis: str = "market", *, months: int = 36) -> Worth:
    """What a condition list of today would add up to on a basis; a value is due after so many months.

    Tests, pairs by their letters and pictures are not read, so it is quicker than drawing the list.
    """
    one_of("basis", basis, BASES)
    day = today_in(session)
    with collector_resting():
        gathered = gather(session, NOW, day, basis, tests=False)
        totals = totals_of(gathered.items, security_of(gathered.premises.values()))
        due = values_due(gathered.items, basis, months_before(day, months).isoformat())
        proved = proofs(gathered.items)
    return Worth(basis, len(gathered.items), totals, due, proved)
