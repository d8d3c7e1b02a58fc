"""Reads the record's anchor as it stands now."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.given_out.anchors import Anchor
from inventory.store.journal.log import anchor, head_of

__all__ = ["anchor_now"]


def anchor_now(session: Session) -> Anchor:
    """The anchor of what is committed, from the head of the log. An act that is under way has no place in it yet."""
    size, root = head_of(session)
    return Anchor(anchor(session, size, root), size)
