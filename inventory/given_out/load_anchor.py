"""Reads the record's anchor as it stands now, and whether an older one is in its past."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.given_out.anchors import Anchor
from inventory.store.journal.log import anchor, head_of, root_at

__all__ = ["anchor_now", "entries_since"]


def anchor_now(session: Session) -> Anchor:
    """The anchor of what is committed, from the head of the log. An act that is under way has no place in it yet."""
    size, root = head_of(session)
    return Anchor(anchor(session, size, root), size)


def entries_since(session: Session, then: Anchor) -> int | None:
    """How many entries came after an anchor; None where its state is not in this record's past."""
    root = root_at(session, then.size)
    if root is None or anchor(session, then.size, root) != then.text:
        return None
    return head_of(session)[0] - then.size
