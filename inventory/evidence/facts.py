"""The kind of fact for a claim: what others say of a part, who says it, and what was shown for it."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.evidence.claims import NO_PROOF, NOT_KNOWN, proofs, sources, tests_that_can_be_claimed
from inventory.evidence.inputs import DECIDED
from inventory.evidence.tables import Claim
from inventory.facts.declare import FactDraft, FactKind, Section, Values, one_by_one
from inventory.facts.values import named, text, word
from inventory.reference.data import reference_of
from inventory.store.words.names import one_of

__all__ = ["FACTS"]


#: Values of a claim that does not give its own.
_DEFAULTS = {"came_out": "pass", "source": NOT_KNOWN, "proof": NO_PROOF}


def _validate(session: Session, draft: FactDraft) -> None:
    columns, data = draft.columns, reference_of(session).failures
    if not columns["said"]:
        raise Refused("nothing-said", "Give the words that were said", where="said")
    if draft.old is None:
        columns.update({name: columns[name] or word for name, word in _DEFAULTS.items()})
    if (columns["test"] or "").startswith("seal "):
        raise Refused(
            "claim-of-a-seal",
            "A claim about a seal is noted as a seal, not as a claim",
            where="test",
            hint="matchmark seal note TAG --seal NAME --state STATE",
        )
    one_of("test", columns["test"], tests_that_can_be_claimed(data))
    one_of("outcome", columns["came_out"], DECIDED)
    one_of("source", columns["source"], sources(data))
    one_of("proof", columns["proof"], proofs(data))


def _says(values: Values) -> str:
    test = f"{values['test']} {values['came_out']}" if values.get("test") else ""
    who = values.get("party") or f"source {values['source']}"
    return "  ".join(each for each in (f'said to be "{values["said"]}"', test, who, f"proof {values['proof']}") if each)


FACTS = (
    FactKind(
        Claim,
        "claim",
        ("part",),
        (
            text("said", "tested", needed=True),
            word("test", "test", lambda data: tests_that_can_be_claimed(data.failures)),
            word("came out", "outcome", DECIDED),
            named("party", "contact"),
            word("source", "source", lambda data: sources(data.failures)),
            word("proof", "proof", lambda data: proofs(data.failures)),
        ),
        validate=one_by_one(_validate),
        says=_says,
        section=Section("claims", "Said of it"),
        how_known="stated",
        travels="as such",
    ),
)
"""Claims about a part."""
