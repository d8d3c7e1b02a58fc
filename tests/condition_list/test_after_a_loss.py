"""A stolen part: the police number, found again, and the insurer who paid for it. On either engine."""

from __future__ import annotations

from inventory.card import card_of
from inventory.pairing.offers.queries import parts_to_offer
from inventory.parts.queries import part_row
from inventory.provenance.actions import SETTLED, note_provenance
from tests.condition_list.conftest import OnDay
from tests.condition_list.workshop import BY, Workshop


def test_a_stolen_part_is_gone_until_it_is_found_and_the_insurers_once_he_has_paid(
    workshop: Workshop, on_day: OnDay
) -> None:
    tag = workshop.tags["ours"]

    def after(how: str, day: str, reference: str | None = None) -> tuple[str | None, str, list[str]]:
        """How it left, whose it is, and under which heading the list of that day has it."""
        on_day(day)
        with workshop.record.write() as session:
            note_provenance(session, BY, tag, how, reference=reference, on=day)
            row = part_row(session, tag)
            gone, whose = row.gone, row.whose
        return gone, whose, [item.heading for item in workshop.drawn(day).items if item.tag == tag]

    assert after("stolen", "2026-04-10", "OR-88/204") == ("stolen", "own", [])
    assert after("found again", "2026-04-20") == (None, "own", ["counted"])
    assert after("stolen", "2026-05-01") == ("stolen", "own", [])
    assert after(SETTLED, "2026-06-01", "claim 7") == ("stolen", "the insurer's", [])
    assert after("found again", "2026-06-20") == (None, "the insurer's", ["held for others"])

    drawn = workshop.drawn("2026-06-20")
    found = workshop.item("ours", drawn)
    assert (found.holder, found.contradictions) == ("the insurer's", ())
    assert "850.00" not in (drawn.totals.get("EUR"), workshop.drawn("2026-05-30").totals.get("EUR"))
    with workshop.record.read() as session:
        assert tag not in [part.tag for part in parts_to_offer(session)]
        told = " ".join(fact.says for fact in card_of(session, tag)["provenance"])
    assert "OR-88/204" in told

    assert after("bought", "2026-07-01") == (None, "own", ["counted"])
