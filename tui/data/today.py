"""What Today asks of the record: what waits, what can be lost first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.parts import load_lines as finding
from inventory.teardown.queries import HalfStripped, any_car, half_stripped
from tui.drafts import Draft
from tui.words import clock_time, day_words, many, short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.readonly import Source

__all__ = ["AT_MOST", "Waiting", "What", "undecided_runs", "waiting"]

#: A full workshop sees no more lines than this.
AT_MOST = 12


@dataclass(frozen=True)
class What:
    """One line that waits: which view it opens, of what, what it says."""

    opens: str
    says: str
    of: str
    more: str = ""


@dataclass(frozen=True)
class Waiting:
    """What waits. `empty`: nothing is written down in this record at all."""

    empty: bool
    lines: tuple[What, ...]

    @property
    def heading(self) -> str:
        """What stands over the lines."""
        if self.empty:
            return "Nothing is written down here yet."
        return "What waits" if self.lines else "Nothing waits. Type to find a part; Space shows what there is to do."


def waiting(source: Source, drafts: Sequence[Draft]) -> Waiting:
    """At most twelve lines: drafts, cars half taken apart."""
    if not any_car(source) and not finding.find(source, (), limit=1).total:
        return Waiting(True, ())
    lines = (*map(_draft, drafts), *map(_half_stripped, half_stripped(source)))
    return Waiting(False, lines[:AT_MOST])


def undecided_runs(session: Session) -> tuple[What, ...]:
    """Runs that could not tell, with what would decide. Judging them takes its time, so it is asked apart."""
    from inventory.bench.runs.queries import undecided

    return tuple(
        What("part", f"{tag} {run.procedure}: {run.judgement.says}", tag, short_day(run.fact.on))
        for tag, run in undecided(session)
    )


def _draft(draft: Draft) -> What:
    how = "left" if draft.left else "the program stopped"
    when = f"{how} {short_day(draft.saved[:10])} {clock_time(draft.saved)}"
    opens = "bench" if draft.key.startswith("bench:") else "strip"
    return What(opens, f'{draft.what}: half answered, at "{draft.stopped_at}"', draft.key, when)


def _half_stripped(begun: HalfStripped) -> What:
    last = f", last on {day_words(begun.last_on)}" if begun.last_on else ""
    says = f"{begun.car}: {many(begun.off, 'part')} off, {begun.still_on} still on{last}"
    return What("strip", says, begun.car, f"begun {short_day(begun.since)}")
