"""Reads which papers were written, and to whom they were given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.given_out.anchors import Anchor
from inventory.given_out.tables import GivenOut, PaperWritten
from inventory.people.queries import names_of_people
from inventory.store.days.true_days import true_days

__all__ = ["WrittenPaper", "written_papers"]


@dataclass(frozen=True)
class WrittenPaper:
    """A paper that was written to a file; `written_on` is an ISO 8601 day, `written` the moment (UTC).

    `given`: to whom, and on which day (EDTF).

    `anchor`: the record's when it was drawn; None where that is not known.

    `form` is 1 where an older version wrote it: then nothing is known of its days and options.
    """

    what: str
    number: int
    thing_id: int
    fingerprint: str
    written_on: str
    written: str
    as_of: str | None
    known_on: str | None
    options: str | None
    edition: str | None
    form: int
    anchor: Anchor | None
    given: tuple[tuple[str, str], ...]

    def as_dict(self) -> dict[str, Any]:
        """The paper in JSON."""
        kept = ("what", "number", "fingerprint", "written_on", "as_of", "known_on", "edition")
        text, size = (self.anchor.text, self.anchor.size) if self.anchor is not None else (None, None)
        given = [{"to": to, "on": on} for to, on in self.given]
        return {name: getattr(self, name) for name in kept} | {"anchor": text, "anchor_size": size, "given": given}

    @property
    def says(self) -> str:
        """The paper on one line; a dash where its anchor is not known."""
        anchor = self.anchor.shown if self.anchor is not None else "-"
        return f"no. {self.number}  written {self.written_on}  {self.given_to}  anchor {anchor}"

    @property
    def given_to(self) -> str:
        """To whom, for people; "not given out" or, in a record of an older version, "not known"."""
        if self.given:
            return "; ".join(f"{name} on {day}" for name, day in self.given)
        return "not known" if self.form == 1 else "not given out"


def written_papers(session: Session, what: str) -> list[WrittenPaper]:
    """Every paper of this sort, by number."""
    written = list(session.scalars(select(PaperWritten).where(PaperWritten.what == what)))
    out = list(session.scalars(select(GivenOut).where(GivenOut.what == what).order_by(GivenOut.id)))
    names = names_of_people(session, {fact.to_id for fact in out if fact.to_id is not None})
    given: dict[int, list[tuple[str, str]]] = {}
    for fact in out:
        if fact.to_id is not None:
            given.setdefault(fact.number, []).append((names[fact.to_id], fact.so_from))
    facts: dict[int, PaperWritten | GivenOut] = {fact.number: fact for fact in reversed(out)}
    facts.update({fact.number: fact for fact in written})
    days = true_days(session)
    return [
        WrittenPaper(
            what=what,
            number=number,
            thing_id=fact.thing_id,
            fingerprint=fact.fingerprint,
            written_on=days.recorded_on(fact),
            written=fact.recorded,
            as_of=getattr(fact, "as_of", None),
            known_on=getattr(fact, "known_on", None),
            options=getattr(fact, "options", None),
            edition=getattr(fact, "edition", None),
            anchor=_anchor(fact),
            form=2 if isinstance(fact, PaperWritten) else 1,
            given=tuple(given.get(number, ())),
        )
        for number, fact in sorted(facts.items())
    ]


def _anchor(fact: PaperWritten | GivenOut) -> Anchor | None:
    if not isinstance(fact, PaperWritten) or fact.anchor is None or fact.anchor_size is None:
        return None
    return Anchor(fact.anchor, fact.anchor_size)
