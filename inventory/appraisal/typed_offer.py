"""Reads a typed offer, for the command line and the browser alike.

A claim is written WORDS[=PROOF], a seal NAME=STATE[=PROOF], a match code CODE[=PROOF].
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from inventory.appraisal.offer import Offer, SealClaim
from inventory.errors import Refused
from inventory.evidence.claims import NO_PROOF, Claimed, proofs, sources, tests_that_can_be_claimed
from inventory.money import checked_amount
from inventory.parts.markings import CODE_STATES
from inventory.reference.appraisal import appraisal_data
from inventory.reference.data import Reference
from inventory.reference.modes import FailureData
from inventory.seals.states import STATES
from inventory.store.words.names import one_of
from inventory.store.words.nothing import nothing_in, what_is_meant
from inventory.store.words.text import clean

__all__ = ["read_offer"]

_FAULT = re.compile(r"\b(not passed|failed|fails|faulty|defective)\b")


def read_offer(
    kind: str,
    price: str,
    currency: str,
    worth: str,
    reference: Reference,
    *,
    part_number: str = "",
    marks: str = "",
    carriage: str = "0",
    carriage_back: str | None = None,
    repair: str | None = None,
    core: str = "0",
    claims: Sequence[str] = (),
    seals: Sequence[str] = (),
    match_code: str = "",
    source: str = "seller",
    returnable: bool = False,
    answered: Sequence[str] = (),
) -> Offer:
    """The offer to be judged. Raises `Refused` for an amount, kind, state or proof that cannot be read."""

    def money(amount: str) -> Decimal:
        return Decimal(checked_amount(amount, currency)[0])

    name, said_by, data = reference.kind(kind).name, clean(source).casefold(), reference.failures
    one_of("source", said_by, sources(data))
    one_of("question", next((each for each in answered if each not in _questions(name)), None), _questions(name))
    if money(core) > money(worth):
        raise Refused(
            "core-above-worth",
            "A core cannot be worth more than a good part: check --core and --worth",
            where="core",
        )
    code, code_state, code_proof = _code(match_code, data)
    return Offer(
        kind=name,
        price=money(price),
        currency=checked_amount(price, currency)[1],
        worth=money(worth),
        part_number=clean(part_number),
        marks=clean(marks),
        carriage=money(carriage),
        carriage_back=money(carriage if carriage_back is None else carriage_back),
        repair=None if repair is None else money(repair),
        core=money(core),
        claims=tuple(_claim(text, said_by, data) for text in claims),
        seals=tuple(_seal(text, data) for text in seals),
        code=code,
        code_state=code_state,
        code_proof=code_proof,
        source=said_by,
        returnable=returnable,
        answered=tuple(answered),
        reference=reference,
    )


def _questions(kind: str) -> tuple[str, ...]:
    return tuple(each.name for each in appraisal_data().questions if not each.kinds or kind in each.kinds)


def _claim(text: str, source: str, data: FailureData) -> Claimed:
    """`tested`, `hold passed=film`: the words, the test if they name one, and its outcome."""
    said, proof = _split_proof(text, data)
    if not said:
        raise Refused("nothing-said", "Give the words that were said", where="claim")
    outright = re.fullmatch(r"(?:the )?(.+?) (?:not passed|passed|failed)", said.casefold())
    test = outright[1] if outright and outright[1] in tests_that_can_be_claimed(data) else ""
    return Claimed(said, test, source, proof, "fail" if _FAULT.search(said.casefold()) else "pass")


def _seal(text: str, data: FailureData) -> SealClaim:
    name, equals, rest = text.partition("=")
    state, proof = _split_proof(rest, data)
    name, state = clean(name).casefold(), state.casefold()
    if not equals or not name or not state:
        raise Refused(
            "not-a-seal",
            f'"{text}" is not a seal with its state',
            where="seal",
            hint="for example: cap=intact or cap=intact=picture",
        )
    one_of("seal state", state, STATES)
    return SealClaim(name, state, proof)


def _code(text: str, data: FailureData) -> tuple[str, str, str]:
    """The code, its state, and what was shown for it. A state typed instead of a code means that there is no code."""
    code, proof = _split_proof(text, data)
    if code.casefold() in CODE_STATES and code.casefold() != "read":
        return "", code.casefold(), proof
    if (nothing := nothing_in(code)) is not None:  # what the seller does not know or say clearly is still to be asked
        state = what_is_meant(code)[1] if nothing in ("not legible", "none") else None
        return "", state or "", proof
    return code, "read" if code else "", proof


def _split_proof(text: str, data: FailureData) -> tuple[str, str]:
    """The words, and the proof after the last "="."""
    said, equals, proof = text.rpartition("=")
    if not equals:
        return clean(text), NO_PROOF
    proof = clean(proof).casefold() or NO_PROOF
    one_of("proof", proof, proofs(data))
    return clean(said), proof
