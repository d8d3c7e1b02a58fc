"""The condition list drawn from a record, on either engine: what counts, what is left out, what was known when."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import select

from inventory.cars import actions as cars
from inventory.cars.write_relation import state_relation
from inventory.condition_list.actions import FOR_INSURER, condition_list, give_out
from inventory.condition_list.fingerprint import content_digest
from inventory.condition_list.list_said import judged_otherwise_said
from inventory.condition_list.values import Item
from inventory.errors import Refused
from inventory.facts.change import correct, withdraw
from inventory.given_out.tables import PaperWritten
from inventory.pairing.actions import file_paper
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.provenance.actions import note_provenance
from inventory.seals.actions import note_seal
from inventory.store.begin import RECORD_THING
from inventory.store.days.clock import today
from inventory.store.days.dates import one_day
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.valuation import actions as worth
from inventory.verification import verify
from tests.condition_list.conftest import OnDay
from tests.condition_list.workshop import BY, Workshop, day

DAY = "2026-03-30"


def test_what_counts_and_what_does_not(workshop: Workshop) -> None:
    drawn = workshop.drawn(DAY)

    assert drawn.totals == {"EUR": "1270.00"}  # 850 + 400 + 20; the relay's car is not insured whole
    assert drawn.other_totals == {"EUR": "270.50"}
    assert drawn.other_totals_by_heading == {
        "on cars insured whole": {"EUR": "120.50"},
        "held for others": {"EUR": "90.00"},
        "away": {"EUR": "60.00"},
        "whereabouts open": {},
        "whose not known": {},
    }
    assert (drawn.totals_by_tax, drawn.totals_proposed) == ({"tax not stated": drawn.totals}, {})
    assert [item.number for item in drawn.items] == [1, 2, 3, 4, 5, 6]
    assert [item.tag for item in drawn.items] == sorted(item.tag for item in drawn.items)
    assert all(item.why for item in drawn.items)


def test_what_was_left_out_is_said_by_number_and_reason(file_workshop: Workshop) -> None:
    drawn = file_workshop.drawn(DAY)

    assert drawn.left_out == (
        {"number": 1, "reason": f"came after {DAY}"},
        {"number": 1, "reason": f"had left by {DAY}: sold"},
    )
    assert file_workshop.tags["later"] in {item.tag for item in file_workshop.drawn("2026-03-31").items}
    assert file_workshop.tags["sold"] in {item.tag for item in file_workshop.drawn("2025-11-29").items}


def test_currencies_and_bases_are_never_added(workshop: Workshop) -> None:
    with workshop.record.write() as session:
        worth.note_value(session, BY, workshop.tags["on_green"], "1200", "JPY", on="2026-02-01")
        worth.note_value(session, BY, workshop.tags["unit"], "0.125", "KWD", on="2026-02-01")

    assert workshop.drawn(DAY).totals == {"EUR": "850.00", "JPY": "1200", "KWD": "0.125"}
    replacement = workshop.drawn(DAY, basis="replacement")
    assert replacement.totals == {"JPY": "9000"}
    assert (replacement.without_value, replacement.stale_values) == (5, 1)


def test_amounts_are_exact(file_record: Record, on_day: OnDay) -> None:
    on_day("2026-03-31")
    shop = Workshop(file_record)
    for _ in range(3):
        shop.part("relay", "0.10", on="2026-03-01")
    shop.part("relay", "999999999999.99", on="2026-03-01")

    assert shop.drawn().totals == {"EUR": "1000000000000.29"}


def test_an_item_says_what_is_on_record_and_nothing_else(workshop: Workshop) -> None:
    item = workshop.item("ours", workshop.drawn(DAY))

    assert (item.kind, item.serial, item.match_code, item.match_code_state) == (
        "pressure sensor",
        "0071-40822",
        "K",
        "read",
    )
    assert item.where.says == "loose, Ebbgate Works, Skerrowmouth"
    assert item.came == "bought (said by seller)"
    assert item.came_when is not None
    assert (item.came_when.on, item.came_when.earliest) == ("1998~", "1998-01-01")
    assert item.last_seen is not None
    assert (item.last_seen.how, item.last_seen.when.on) == ("cap looked at", "2026-03-02")
    assert item.condition is not None
    assert (item.condition.category, item.condition.damage) == (2, "one stud bent")
    assert [seal.state for seal in item.seals_now] == ["intact"]
    assert item.has_picture
    assert item.evidence[0].digest16 == hashlib.sha256(b"a picture of the sensor").hexdigest()[:16]
    assert item.works is None


def test_the_two_halves_of_a_confirmed_pair_name_each_other(workshop: Workshop) -> None:
    drawn = workshop.drawn(DAY)
    sensor, unit = workshop.tags["ours"], workshop.tags["unit"]

    said = "codes read on both, equal; sensor seals intact on 2026-03-02"
    assert workshop.item("ours", drawn).goes_with == f"{unit}: {said}"
    assert workshop.item("unit", drawn).goes_with == f"{sensor}: {said}"
    assert workshop.item("ours", workshop.drawn("2026-03-01")).goes_with is None  # nobody had looked at the cap yet


def test_a_specialists_paper_names_the_other_half_whatever_the_letters(workshop: Workshop, tmp_path: Path) -> None:
    sensor, unit = workshop.tags["ours"], workshop.tags["unit"]
    (tmp_path / "paper.txt").write_text("set on the bench")
    with workshop.record.write() as session:
        file_paper(session, BY, sensor, tmp_path / "paper.txt", unit=unit, on="2026-03-03")
        parts.describe(session, BY, unit, Markings(match_code="M"), on="2026-03-03")

    drawn = workshop.drawn(DAY)

    assert workshop.item("ours", drawn).goes_with == (
        f"{unit}: a paper says that a specialist set the sensor for it (2026-03-03)"
    )
    assert workshop.item("unit", drawn).goes_with == (
        f"{sensor}: a paper says that a specialist set that sensor for it (2026-03-03)"
    )


def test_the_last_decisive_test_stands_with_the_item(file_workshop: Workshop) -> None:
    from inventory.bench.actions import run

    typed: dict[str, object] = {"resolution": "1cmHg"}
    fine: dict[str, object] = {"resolution": "0.1cmHg"}
    blank: dict[str, object] = {"blank": ["0s=50cmHg", "10s=50cmHg"]}
    with file_workshop.record.write() as session:
        tag = file_workshop.tags["ours"]
        run(session, BY, tag, "hold", ["0s=50cmHg", "10s=30cmHg"], typed | blank, on="2026-01-20")
        run(session, BY, tag, "hold", ["0s=50cmHg", "10s=20cmHg"], fine | blank, on="2026-02-20")
        run(session, BY, tag, "hold", ["0s=50cmHg", "10s=45cmHg"], {"resolution": "5cmHg"}, on="2026-02-21")
    item = file_workshop.item("ours", file_workshop.drawn(DAY))

    assert [run.verdict for run in item.runs] == ["fail", "fail", "undecided"]
    assert item.works is not None
    assert (item.works.procedure, item.works.verdict, item.works.when.on) == ("hold", "fail", "2026-02-20")
    assert item.works.says
    assert item.remarks[0].startswith("failed hold on 2026-01-20: ")
    assert file_workshop.item("ours", file_workshop.drawn("2026-01-31")).works == item.runs[0]


def test_a_part_that_came_off_its_car_after_the_day_was_on_it(workshop: Workshop, on_day: OnDay) -> None:
    on_day("2026-06-01")
    with workshop.record.write() as session:
        teardown.begin(session, BY, "Grey saloon", on="2026-04-02")
        log = teardown.log(session, BY, Markings(kind="relay"), ComingOff(), on="2026-04-02")
        worth.note_value(session, BY, log.tag, "7", "EUR", on="2020")
    drawn = workshop.drawn(DAY)
    (item,) = [item for item in drawn.items if item.tag == log.tag]

    assert (item.where.says, item.heading) == ("on car Grey saloon, premises not known", "on cars insured whole")
    assert drawn.totals == {"EUR": "1270.00"}


def test_known_on_drops_what_was_recorded_later_and_undoes_later_corrections(workshop: Workshop, on_day: OnDay) -> None:
    before = workshop.drawn(DAY, "2026-03-31")
    tag = workshop.tags["ours"]
    value = workshop.item("ours", before).value
    assert value is not None
    on_day("2026-04-20")
    with workshop.record.write() as session:
        correct(session, BY, value.when.fact, {"amount": "500"}, "misread")
        note_seal(session, BY, tag, "cap", "disturbed", on="2026-03-10")
        markings = parts.describe(session, BY, tag, Markings(serial="0071-40823"), on="2026-03-10")
        new = parts.add_part(session, BY, Markings(kind="relay"), on="2026-03-01")
    on_day("2026-04-21")
    with workshop.record.write() as session:
        withdraw(session, BY, markings, "wrong part")

    now, then = workshop.drawn(DAY), workshop.drawn(DAY, "2026-03-31")
    between = workshop.drawn(DAY, "2026-04-20")

    assert now.totals == {"EUR": "920.00"}
    assert [seal.state for seal in workshop.item("ours", now).seals_now] == ["disturbed"]
    assert "seal cap disturbed on 2026-03-10" in workshop.item("ours", now).remarks
    assert new in {item.tag for item in now.items}
    assert then.items == before.items
    assert then.totals == before.totals
    assert then.left_out == before.left_out
    assert then.fingerprint == before.fingerprint
    assert workshop.item("ours", between).serial == "0071-40823"
    assert workshop.item("ours", now).serial == "0071-40822"


def test_a_part_whose_every_fact_was_taken_back_is_not_there(workshop: Workshop) -> None:
    from inventory.facts.views import facts_of
    from inventory.parts.queries import part_row

    with workshop.record.read() as session:
        facts = [fact.id for fact in facts_of(session, part_row(session, workshop.tags["on_green"]).id)]
    with workshop.record.write() as session:
        for fact in facts:
            withdraw(session, BY, fact, "never existed")
    drawn = workshop.drawn(DAY)

    assert workshop.tags["on_green"] not in {item.tag for item in drawn.items}
    assert sum(entry["number"] for entry in drawn.left_out) == 2


def test_the_day_a_part_was_logged_says_nothing(file_workshop: Workshop, on_day: OnDay) -> None:
    on_day("2026-06-01")
    with file_workshop.record.write() as session:
        tag = parts.add_part(session, BY, Markings(kind="relay", serial="77"))
    (item,) = [item for item in file_workshop.drawn(DAY).items if item.tag == tag]

    assert (item.serial, item.last_seen, item.whose) == ("77", None, "own")


def test_no_name_of_a_seller_or_customer_stands_in_it(file_workshop: Workshop) -> None:
    with file_workshop.record.read() as session:
        drawn = condition_list(session, day(DAY), options=FOR_INSURER)
    written = json.dumps(drawn.as_dict(), ensure_ascii=False)

    assert not re.search("Gribbling|Brandvesk|Oxbarrow|whole.jpg|shelf B2", written)
    assert file_workshop.item("theirs", drawn).holder == "customer A"
    assert file_workshop.item("lent", drawn).holder == "own, lent out"
    assert drawn.holders == {"customer A": "Ulla Brandvesk"}


def test_an_agreed_value_without_the_insurers_paper_is_a_proposal(file_workshop: Workshop, tmp_path: Path) -> None:
    paper = tmp_path / "policy.txt"
    paper.write_text("agreed", encoding="utf-8")
    with file_workshop.record.write() as session:
        worth.note_value(session, BY, file_workshop.tags["ours"], "900", "EUR", basis="agreed", on="2026-02-01")
        worth.note_value(
            session, BY, file_workshop.tags["unit"], "500", "EUR", basis="agreed", on="2026-02-01", document=paper
        )
    unnamed = file_workshop.drawn(DAY, basis="agreed")
    with file_workshop.record.write() as session:
        worth.set_policy(session, BY, {"insurer": "Holm Mutual", "number": "HM 12"}, on="2026-01-01")
    drawn = file_workshop.drawn(DAY, basis="agreed")

    assert (unnamed.totals, unnamed.totals_proposed) == ({}, {"EUR": "1400.00"})  # whose paper would it be?
    assert (drawn.totals, drawn.totals_proposed) == ({"EUR": "500.00"}, {"EUR": "900.00"})
    assert (drawn.front.insurer, drawn.front.policy) == ("Holm Mutual", "HM 12")
    standings = {item.tag: item.value.standing for item in drawn.items if item.value}
    assert standings == {
        file_workshop.tags["ours"]: "proposed by the owner",
        file_workshop.tags["unit"]: "agreed, with the insurer's paper",
    }


def test_the_gaps_are_named(file_workshop: Workshop) -> None:
    drawn = file_workshop.drawn(DAY)
    of_relay = [gap.says for gap in drawn.gaps if gap.tag == file_workshop.tags["on_green"]]
    of_sensor = [gap.says for gap in drawn.gaps if gap.tag == file_workshop.tags["ours"]]

    assert drawn.without_picture == 5
    assert drawn.seen_within_12_months == 6
    assert {"no picture", "no serial on record", "how it came here is not known", "condition not assessed"} <= set(
        of_relay
    )
    assert "no picture" not in of_sensor
    assert "never measured here" in of_sensor
    assert any(gap.startswith("seal never looked at: ") and "cap" not in gap.split(", ") for gap in of_sensor)


def test_the_keys_of_the_contract(file_workshop: Workshop) -> None:
    drawn = file_workshop.drawn(DAY).as_dict()

    assert {
        "number",
        "as_of",
        "known_on",
        "items",
        "totals",
        "other_totals",
        "left_out",
        "without_picture",
        "stale_values",
        "fingerprint",
    } <= set(drawn)
    assert (drawn["as_of"], drawn["known_on"], drawn["number"]) == (DAY, "2026-03-31", 1)


def test_the_fingerprint_is_that_of_the_lines_to_check_by(file_workshop: Workshop) -> None:
    drawn = file_workshop.drawn(DAY)
    read = json.loads(json.dumps(drawn.as_dict()))
    canonical = json.dumps(read["check"], sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()

    assert read["fingerprint"] == drawn.fingerprint == hashlib.sha256(canonical).hexdigest()
    assert drawn.fingerprint_shown.replace(" ", "") == drawn.fingerprint[:32]
    assert [len(group) for group in drawn.fingerprint_shown.split(" ")] == [4] * 8
    assert content_digest(read) == read["check"]["Content"]
    assert {"Facts", "Edition", "Options", "Items", "Values"} <= set(read["check"])
    assert file_workshop.drawn("2026-03-29").fingerprint != drawn.fingerprint


def test_the_same_list_drawn_twice_has_the_same_fingerprint(workshop: Workshop, on_day: OnDay, tmp_path: Path) -> None:
    shown = workshop.drawn(DAY, "2026-03-31")
    written = give_out(workshop.record, BY, tmp_path / "a.csv", as_of=day(DAY), known_on=day("2026-03-31"))
    on_day("2026-04-09")
    with workshop.record.write() as session:
        worth.note_value(session, BY, workshop.tags["ours"], "900", "EUR", basis="market")
    again = give_out(workshop.record, "Ines", tmp_path / "b.csv", as_of=day(DAY), known_on=day("2026-03-31"))

    assert (shown.number, again.number) == (1, 2)
    assert shown.fingerprint == written.fingerprint == again.fingerprint
    assert workshop.drawn(DAY).fingerprint != shown.fingerprint


def test_a_list_that_is_written_is_a_fact_and_its_number_is_not_used_again(workshop: Workshop, tmp_path: Path) -> None:
    first = give_out(workshop.record, BY, tmp_path / "a.json")
    second = give_out(workshop.record, BY, tmp_path / "b.csv")

    with workshop.record.read() as session:
        given = session.scalars(select(PaperWritten).order_by(PaperWritten.id)).all()
    assert [(fact.thing_id, fact.what, fact.number, fact.fingerprint) for fact in given] == [
        (RECORD_THING, "condition list", 1, first.fingerprint),
        (RECORD_THING, "condition list", 2, second.fingerprint),
    ]
    assert json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))["fingerprint"] == first.fingerprint
    assert workshop.drawn().number == 3
    assert verify(workshop.record).ok


@pytest.mark.parametrize("name", ["list.docx", "list", "nowhere/list.xlsx"])
def test_what_cannot_be_written_leaves_nothing(file_workshop: Workshop, tmp_path: Path, name: str) -> None:
    before = sorted(tmp_path.iterdir())

    with pytest.raises(Refused) as refusal:
        give_out(file_workshop.record, BY, tmp_path / name)

    assert refusal.value.code == ("file-not-written" if "/" in name else "no-such-format")
    assert sorted(path for path in tmp_path.iterdir() if "-wal" not in path.name and "-shm" not in path.name) == [
        path for path in before if "-wal" not in path.name and "-shm" not in path.name
    ]
    with file_workshop.record.read() as session:
        assert session.scalars(select(PaperWritten)).all() == []


def test_days_to_come_and_vague_days_are_refused(on_day: OnDay) -> None:
    on_day("2026-03-31")

    assert one_day(None, "--as-of", today()).isoformat() == "2026-03-31"
    assert one_day("2026-03-31", "--as-of", today()).isoformat() == "2026-03-31"
    for text, code in (("2026-04-01", "date-in-the-future"), ("2026-03", "not-one-day"), ("1998~", "not-one-day")):
        with pytest.raises(Refused) as refusal:
            one_day(text, "--as-of", today())
        assert refusal.value.code == code


def test_a_day_to_come_or_an_unknown_basis_is_refused_by_the_list_itself(file_workshop: Workshop) -> None:
    for days, basis, code in (
        (("2026-04-01",), "market", "date-in-the-future"),
        ((DAY, "2026-04-01"), "market", "date-in-the-future"),
        ((DAY,), "markt", "unknown-basis"),
    ):
        with pytest.raises(Refused) as refusal:
            file_workshop.drawn(*days, basis=basis)
        assert refusal.value.code == code


def test_a_test_made_with_a_meter_that_was_found_wrong_is_no_proof(workshop: Workshop) -> None:
    from inventory.bench.actions import run
    from inventory.bench.instruments.actions import add_instrument, calibrate

    tag, conditions = workshop.tags["ours"], {"ambient": "20degC", "instrument": "Meter 1"}
    with workshop.record.write() as session:
        add_instrument(session, BY, "Meter 1", specification="0.8% + 2 x 0.1ohm", on="2025-01-01")
        run(session, BY, tag, "resistance", ["primary=94.1ohm"], conditions, on="2026-01-09")
        calibrate(session, BY, "Meter 1", "failed", on="2026-03-01")

    before = workshop.item("ours", workshop.drawn("2026-02-01"))
    after = workshop.item("ours", workshop.drawn("2026-03-31"))

    assert {run.verdict for run in before.runs if run.procedure == "resistance"} == {"pass"}
    assert {run.verdict for run in after.runs if run.procedure == "resistance"} == {"undecided"}


#: Object ID (Getty 1993 to 1999; ICOM, archives.icom.museum/object-id/heritage/object.html): photographs, nine
#: categories and a description; which field of an item answers each. The title and subject of a part are its kind and
#: the car it belongs to.
_OBJECT_ID: dict[str, Callable[[Item], object]] = {
    "photographs": lambda item: [paper.shows for paper in item.evidence if paper.picture],
    "type of object": lambda item: item.kind,
    "measurements": lambda item: item.description and item.description.measurements,
    "materials and techniques": lambda item: item.description and item.description.material,
    "inscriptions and markings": lambda item: item.marks_verbatim,
    "date or period": lambda item: item.date_code,
    "maker": lambda item: item.maker,
    "subject": lambda item: item.relation and item.relation.car,
    "title": lambda item: item.kind,
    "distinguishing features": lambda item: item.description and item.description.features,
    "description": lambda item: item.history,
}
#: What a report on condition names, after the scope of EN 16095:2012: why, when, by whom, in what light, opened or
#: closed, what could not be seen, and four answers.
_REPORT: dict[str, Callable[[Item], object]] = {
    "looks": lambda item: item.condition and item.condition.category is not None,
    "complete": lambda item: item.complete == "complete",
    "stable": lambda item: item.stable == "stable",
    "works": lambda item: item.trade_class == "used, untested",
    "why": lambda item: item.condition and item.condition.why,
    "when": lambda item: item.condition and item.condition.when.on,
    "by whom": lambda item: item.condition and item.condition.when.by,
    "light": lambda item: item.condition and item.condition.light,
    "opened": lambda item: item.condition and item.condition.opened,
    "unseen": lambda item: item.condition and item.condition.unseen,
}


def test_an_item_answers_object_id_and_a_report_on_its_condition(file_workshop: Workshop) -> None:
    tag = file_workshop.tags["ours"]
    known_by = {
        "measurements": "62 x 48 mm",
        "material": "die-cast",
        "features": "a scribed line",
        "marks_sit": "cover",
    }
    report = {"why": "for the list", "light": "daylight", "opened": "no", "unseen": "the underside"}
    with file_workshop.record.write() as session:
        parts.describe(session, BY, tag, Markings(date_code="22/71"), known_by=known_by, on="2026-03-01")
        parts.assess(session, BY, tag, 1, missing="none", trend="stable", on="2026-03-01", **report)
        parts.assess(session, BY, tag, trade_class="used", on="2026-03-02")
        cars.add_car(session, BY, "Old tourer", year="1969", on="2020")
        state_relation(session, BY, tag, "original", car="Old tourer", says="build sheet", on="2026-03-01")

    item = file_workshop.item("ours", file_workshop.drawn(DAY))

    assert [wanted for wanted, answer in (_OBJECT_ID | _REPORT).items() if not answer(item)] == []
    assert {mark.what: (mark.text, mark.sits) for mark in item.marks_verbatim}["date code"] == ("22/71", "cover")
    assert any("cannot be original fitment" in remark for remark in item.remarks)
    assert item.condition is not None
    assert item.condition.when.recorded_on == "2026-03-31"
    with file_workshop.record.read() as session:
        assert part_row(session, tag).condition == "1"  # a word on its class does not take back how it looks


def test_whose_not_known_is_in_no_total_and_first_among_the_gaps(workshop: Workshop) -> None:
    tag = workshop.tags["ours"]
    with workshop.record.write() as session:
        note_provenance(session, BY, tag, "not known", whose="not known", on="2026-03-05")

    drawn = workshop.drawn(DAY)
    item = workshop.item("ours", drawn)

    assert (item.whose, item.holder, item.counted_in_total, item.heading) == (
        *("not known", "not known", False),
        "whose not known",
    )
    assert drawn.totals == {"EUR": "420.00"}
    assert (drawn.gaps[0].tag, drawn.gaps[0].rank) == (tag, 1)


def test_what_nothing_shows_here_by_the_day_is_listed_and_counts(workshop: Workshop) -> None:
    drawn = workshop.drawn("2026-01-04")  # the sensor was first seen the day after

    unit = workshop.item("unit", drawn)
    assert (unit.not_shown_here, unit.counted_in_total) == (True, True)
    assert not workshop.item("ours", workshop.drawn(DAY)).not_shown_here
    assert not workshop.item("ours", drawn).not_shown_here  # said to have been bought about 1998


def test_a_test_that_other_limits_judge_alike_is_said_to_be_still_so() -> None:
    now = {"verdict": "pass", "says": "coil 2.40 ohm (2 to 2.6 ohm): pass"}
    of = {"tag": "K4127-7", "procedure": "resistance", "verdict": "pass", "with_limits_now": now}
    (line,) = judged_otherwise_said([of])
    assert "by the limits of now still PASS: coil 2.40 ohm (2 to 2.6 ohm)" in line
