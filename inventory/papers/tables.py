"""Passports that were read in."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["PassportRead"]


class PassportRead(FactColumns, Base):
    """A passport of a part was read in. `from_record`: the identity of the record that wrote it; `their_tag` there.

    `digest`: SHA-256 of its facts; `signed_by`: the key that signed it; `taken`: canonical JSON of the facts that were
    taken over, each by its origin ("IDENTITY/seal_sighting-3": where it was first written) with its id here; "" for one
    that no longer counted there.
    """

    __tablename__ = "passport_read"
    from_record: Mapped[str]
    their_tag: Mapped[str]
    digest: Mapped[str]
    signed_by: Mapped[str | None]
    taken: Mapped[str]
