"""Writing down a claim about a part."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.evidence.claims import NO_PROOF, NOT_KNOWN, proofs, sources, tests_that_can_be_claimed
from inventory.evidence.inputs import DECIDED
from inventory.evidence.tables import Claim
from inventory.facts.write import write
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act, new_contact
from inventory.people.tables import Contact
from inventory.reference.data import reference_of
from inventory.reference.modes import FailureData
from inventory.store.days.dates import when_on
from inventory.store.facts import fact_id, make_fact
from inventory.store.tables import Base
from inventory.store.words.names import one_of
from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import clean

__all__ = ["checked_claim", "note_claim"]


def note_claim(
    session: Session,
    by: str,
    tag: str,
    said: str,
    *,
    test: str | None = None,
    came_out: str = "pass",
    by_whom: str | None = None,
    source: str | None = None,
    proof: str = NO_PROOF,
    on: str | None = None,
) -> str:
    """Write down what somebody says of a part. Return the fact's id.

    Without `source`, the role that the person `by_whom` has on record is taken, if it is one of the sources.
    """
    part = part_row(session, tag)
    data = reference_of(session).failures
    values = checked_claim({"said": said, "test": test, "came_out": came_out, "source": source, "proof": proof}, data)
    act = begin_act(session, "evidence claim", by, part.id)
    when = when_on(on, act.today)
    party_id = None
    rows: list[Base] = []
    if by_whom and clean(by_whom):
        party_id, rows = new_contact(session, act, by_whom, when, role=values["source"])
        known = session.get(Contact, party_id)
        role = known.role if known is not None else None
        values["source"] = values["source"] or (role if role in sources(data) else None)
    values["source"] = values["source"] or NOT_KNOWN
    fact = make_fact(Claim, act, part.id, when, how_known="stated", party_id=party_id, **values)
    write(session, act, [*rows, fact])
    return fact_id(Claim, fact.id)


def checked_claim(values: dict[str, Any], data: FailureData) -> dict[str, Any]:
    """The values of a claim, cleaned. Raises `Refused` for an unknown word, with the nearest known ones."""
    said = clean(values["said"] or "")
    if not said:
        raise Refused("nothing-said", "Give the words that were said", where="said")
    if nothing_in(said):
        raise Refused(
            "nothing-said",
            f'"{said}" says nothing of the part, so it is no claim',
            where="said",
            hint='give the words that were said, for example: --said "tested, works"',
        )
    given = {name: clean(values[name] or "").casefold() or None for name in ("test", "came_out", "source", "proof")}
    if (given["test"] or "").startswith("seal "):
        raise Refused(
            "claim-of-a-seal",
            "A claim about a seal is noted as a seal, not as a claim",
            where="test",
            hint="matchmark seal note TAG --seal NAME --state STATE",
        )
    one_of("test", given["test"], tests_that_can_be_claimed(data))
    one_of("outcome", given["came_out"], DECIDED)
    one_of("source", given["source"], sources(data))
    one_of("proof", given["proof"], proofs(data))
    return {"said": said, **given}
