"""Facts of every kind that may be added so: written, listed, corrected, taken back, and the record still fits."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import select

from inventory.declared import DECLARED
from inventory.facts import take_back
from inventory.facts.declare import FactKind
from inventory.facts.things import find_thing, kinds_of_thing
from inventory.facts.views import FactView, facts_of
from inventory.opening import open_record
from inventory.store.record import Record
from inventory.store.tables import JournalEntry
from inventory.verification import verify
from tests.build import BY, whole_record
from tests.cli.conftest import Shop
from tests.examples import example_of, name_of_a

#: Facts that hold more than their values, or tell of the record itself: each is written by its own command.
ELSEWHERE = {
    "removal", "fitting", "strip-down", "end of a strip-down", "stay", "contact", "mistake", "together",
    "file given out", "file written", "count", "counted", "passport read", "labelling", "roll of labels", "way of reading sheets", "sheet read", "withdrawal", "wrong clock", "workshop limits", "words removed",
}  # fmt: skip
#: The example of a run is of a test of parts.
NOT_OF = {("run", "car")}


def test_a_fact_of_every_kind_is_added_listed_corrected_taken_back(shop: Shop, tmp_path: Path) -> None:
    record = open_record(shop.target)
    whole_record(record, tmp_path)
    for kind in DECLARED.facts:
        for about in kind.about:
            if kind.word not in ELSEWHERE and (kind.word, about) not in NOT_OF:
                _there_and_back(shop, record, kind, about)
    assert verify(record).problems == ()
    record.close()


def _there_and_back(shop: Shop, record: Record, kind: FactKind, about: str) -> None:
    with record.read() as session:
        thing, typed = name_of_a(session, about), example_of(session, kind)
        (_, key) = find_thing(session, thing, kinds_of_thing(session, about))
    words = [word for name, text in typed.items() for word in ("--set", f"{name}={text}")]

    def standing() -> dict[str, FactView]:
        with record.read() as session:
            return {fact.id: fact for fact in facts_of(session, key, [kind.table])}

    before = standing()
    first = shop.ok("fact", "add", kind.word, thing, *words, "--of", about, "--on", "2026-03-01")["fact"]
    written = standing()
    assert written.keys() - before.keys() == {first}
    assert written[first].on == "2026-03-01"

    other = next((f"{each.name}={each.examples[1]}" for each in kind.values if len(each.examples) > 1), "on=2026-03-02")
    anew = shop.ok("fact", "correct", first, "--set", other, "--reason", "misread")["fact"]
    corrected = standing()
    assert corrected.keys() - before.keys() == {anew}

    shop.ok("fact", "withdraw", anew, "--reason", "wrong one")
    restored = standing()
    (old,) = restored.keys() - before.keys()
    assert (restored[old].values, restored[old].on) == (written[first].values, written[first].on), "what it replaced"
    listed = {fact["id"]: fact for fact in shop.ok("fact", "list", thing, "--of", about)["facts"]}
    assert listed[first]["superseded_by"] == anew
    assert listed[anew]["superseded_by"].startswith("withdrawal-")

    with record.write() as session:
        newest = (
            select(JournalEntry.act_key).where(JournalEntry.act == "fact withdraw").order_by(JournalEntry.at.desc())
        )
        take_back.withdraw_act(session, BY, session.scalars(newest).first() or "", "right after all")
    again = standing()
    (back,) = again.keys() - before.keys()
    assert (again[back].values, again[back].on) == (corrected[anew].values, corrected[anew].on)


def test_what_has_a_command_of_its_own_is_not_added_so(shop: Shop, tmp_path: Path) -> None:
    record = open_record(shop.target)
    whole_record(record, tmp_path)
    for kind in DECLARED.facts:
        if kind.word in ELSEWHERE:
            with record.read() as session:
                typed = example_of(session, kind)
                about = kind.about[0] if kind.about and kind.about[0] != "record" else "part"
                thing = name_of_a(session, about)
            typed = typed or {each.name: "x" for each in kind.values} or {"text": "x"}
            words = [word for name, text in typed.items() for word in ("--set", f"{name}={text}")]
            code = shop.refused("fact", "add", kind.word, thing, *words)["code"]
            assert code in ("written-elsewhere", "not-corrected-here"), kind.word
    record.close()
