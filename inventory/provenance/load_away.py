"""Parts that are away and come back: sent out, lent out; when they are due.

SQL text, as in `parts.load_lines`: the first screen shows what is overdue.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inventory.parts.judgements import AWAY
from inventory.store.connection.readonly import Source, fetch_all
from inventory.store.days.dates import parse_when

__all__ = ["Away", "parts_away"]


@dataclass(frozen=True)
class Away:
    """A part that is away: how, since when, when it is due (EDTF or None), and whether that day is over."""

    tag: str
    kind: str | None
    how: str
    since: str
    due: str | None
    text: str | None
    party_id: int | None
    overdue: bool


_AWAY = """
SELECT part.tag, part.kind, fact.how, fact.so_from, fact.due, fact.text, fact.party_id
FROM provenance AS fact JOIN part ON part.id = fact.thing_id
WHERE fact.superseded_by IS NULL AND fact.thing_id IN
  (SELECT thing_id FROM provenance WHERE superseded_by IS NULL AND how IN ('lent out', 'sent out'))
ORDER BY fact.counts_from, fact.ranked, fact.id
"""


def parts_away(source: Source, today: date) -> list[Away]:
    """The parts that are away now, first the overdue, then by the day they are due, those without one last."""
    latest: dict[str, Away] = {}
    for tag, kind, how, since, due, text, party in fetch_all(source, _AWAY):
        latest.pop(tag, None)
        if how not in AWAY:
            continue
        overdue = due is not None and parse_when(due).latest < today
        latest[tag] = Away(tag, kind, how, since, due, text, party, overdue)
    return sorted(latest.values(), key=lambda each: (not each.overdue, each.due is None, each.due or each.since))
