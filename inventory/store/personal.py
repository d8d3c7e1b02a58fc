"""Names, addresses and numbers of people: kept apart from the rows and entries that are hashed.

A row that needs one holds its digest; the text and its salt lie here and can be blanked, after
which the digest still stands and the chain still fits.
"""

from __future__ import annotations

import hashlib
import secrets

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.store.many import among
from inventory.store.tables import Personal
from inventory.store.words.text import fold

__all__ = ["BLANKED", "digest_of", "find", "fits", "keep", "read"]

BLANKED = "(name removed)"


def digest_of(salt: str, text: str) -> str:
    """SHA-256 of salt and text."""
    return hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest()


def fits(row: Personal) -> bool:
    """Whether a text is the one its digest stands for."""
    try:
        return digest_of(str(row.salt), str(row.text)) == row.digest
    except UnicodeEncodeError:  # put in from outside: it is no text
        return False


def keep(thing_id: int, text: str) -> Personal:
    """The row that holds a personal text of a thing; its `digest` goes where the text would have stood."""
    salt = secrets.token_hex(16)
    return Personal(thing_id=thing_id, digest=digest_of(salt, text), salt=salt, text=text, text_folded=fold(text))


def read(session: Session, digests: set[str]) -> dict[str, str]:
    """The texts behind digests; a blanked one reads "(name removed)"."""
    if not digests:
        return {}
    rows = session.execute(select(Personal.digest, Personal.text).where(among(Personal.digest, sorted(digests))))
    return {digest: BLANKED if text is None else text for digest, text in rows}


def find(session: Session, text: str) -> list[Personal]:
    """The rows that hold this text, compared folded."""
    return list(session.scalars(select(Personal).where(Personal.text_folded == fold(text))))
