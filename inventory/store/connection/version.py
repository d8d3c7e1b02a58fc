"""The revision this program writes, so that opening a record need not import the migrations."""

from __future__ import annotations

__all__ = ["HEAD", "REVISIONS"]

#: Every revision of the schema, oldest first; a test holds this against the migration scripts.
REVISIONS = ("0001", "0002", "0003", "0004", "0005", "0006", "0007", "0008", "0009")
HEAD = REVISIONS[-1]
