"""Every run and every pair is judged alike at every door: history, card, list, pairs, plan, evidence, browser.

Walked on the demo workshop and on generated records with workshop limits, references, instruments out of date,
corrections and facts of other days; each door is asked through its own function, and the commands through their JSON.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from inventory.bench import actions as bench
from inventory.bench.runs.queries import runs_of_many
from inventory.cli import main
from inventory.condition_list.actions import condition_list
from inventory.evidence.queries import evidence_of_many
from inventory.facts import change
from inventory.opening import Record, make_record
from inventory.pairing.candidate import Candidate
from inventory.pairing.judgements import pairs_among
from inventory.pairing.load import Scope, load_candidates, load_candidates_as_of
from inventory.pairing.offers.offer import offer_text
from inventory.pairing.queries import fits_on_record, goes_with
from inventory.parts.actions import state_fit
from inventory.parts.queries import lines_of
from inventory.record.write_limits import take_limits
from inventory.seals.actions import note_seal
from inventory.store.days import clock
from inventory.store.facts import NOW, AsOf
from inventory.valuation.actions import note_value
from tests.build import BY, SENSOR, UNIT, make_part
from tests.conftest import ENGINES
from tests.doors.workshops import DAYS, OWN_LIMITS, Workshop, demo, generated
from tui.data.card import card_of
from tui.data.pair import pairs_of, shelf_plan

#: Days on which the record is asked what it was, besides now.
OTHER_DAYS = (*DAYS[2:5], "2026-03-21")
PAIRED = ("pressure sensor", "control unit")


@pytest.fixture(scope="module", params=["demo", "generated 6"])
def made(request: pytest.FixtureRequest) -> str:
    """Which record."""
    return str(request.param)


@pytest.fixture(scope="module", params=ENGINES)
def workshop(request: pytest.FixtureRequest, made: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """A record with everything in it that doors could disagree on, on either engine; it is only read."""
    folder = tmp_path_factory.mktemp("doors")
    (folder / "own.toml").write_text(OWN_LIMITS)
    if request.param == "sqlite":
        target = str(folder / "record.db")
    else:
        target = request.getfixturevalue("new_database")("template0")
    if made == "demo":
        shop = demo(target, folder / "demo")
    else:
        make_record(target).close()
        shop = generated(target, folder, int(made.split()[1]))
    with shop.record.write() as session:
        take_limits(session, BY, folder / "own.toml", on="2026-01-01")
    yield shop
    shop.record.close()


def ask(workshop: Workshop, capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    status = main(["--record", workshop.target, "--by", "Ines", *words, "--json"])
    told = capsys.readouterr()
    assert status == 0, told.err
    return json.loads(told.out)


def said(run: Any) -> tuple[str, str, str]:
    return run["procedure"], run["verdict"], run["says"]


def test_a_run_is_judged_alike_at_every_door(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    with workshop.record.read() as session:
        parts = lines_of(session)
        judged = runs_of_many(session, [part.id for part in parts])
        evidence = evidence_of_many(session, list(judged))
    runs = {run.fact.id: run for several in judged.values() for run in several}
    assert len(runs) > 30
    listed = {
        run["when"]["fact"]: said(run)
        for item in ask(workshop, capsys, "condition-list")["items"]
        for run in item["runs"]
    }
    gone = {part.tag for part in parts if part.gone}

    measured = [part for part in parts if judged.get(part.id)]
    for part in measured:
        own = judged[part.id]
        expected = {run.fact.id: json.loads(json.dumps(run.judgement.as_dict())) for run in own}
        for words, key in ((["bench", "history", part.tag], "run"), (["part", "show", part.tag], "run")):
            told = {run[key]: run for run in ask(workshop, capsys, *words)["runs"]}
            assert told.keys() == expected.keys()
            for fact, judgement in expected.items():
                assert {name: told[fact][name] for name in judgement} == judgement, (words, fact)
        if part.tag not in gone:
            assert {run.fact.id: listed[run.fact.id] for run in own} == {
                run.fact.id: (run.procedure, run.judgement.verdict, run.judgement.says) for run in own
            }
        tests = {test.fact: test.verdict for test in evidence[part.id].tests if test.fact in expected}
        assert tests == {fact: judgement["verdict"] for fact, judgement in expected.items()}
        with workshop.record.read() as session:
            card = card_of(session, part.tag)
        (section,) = [section for section in card.sections if section.name == "Measured"]
        told_words = [entry.says for entry in section.entries]
        for run in own:
            plain = run.judgement.says_why
            assert any(words.startswith(run.judgement.verdict.upper()) and plain in words for words in told_words)
        swept = [run for run in own if run.procedure == "sweep"]
        if swept:
            last = ask(workshop, capsys, "bench", "sweep", part.tag)
            assert (last["run"], last["verdict"], last["says"]) == (
                swept[-1].fact.id,
                swept[-1].judgement.verdict,
                swept[-1].judgement.says,
            )


def test_on_another_day_the_list_and_the_bench_say_the_same(workshop: Workshop) -> None:
    for day in OTHER_DAYS:
        the_list_and_the_bench_agree(workshop, AsOf(date.fromisoformat(day)))


def the_list_and_the_bench_agree(workshop: Workshop, when: AsOf) -> None:
    with workshop.record.read() as session:
        drawn = condition_list(session, when.day)
        keys = {part.tag: part.id for part in lines_of(session)}
        judged = runs_of_many(session, list(keys.values()), when)
        evidence = evidence_of_many(session, list(keys.values()), when)
    for item in drawn.items:
        own = judged.get(keys[item.tag], [])
        assert [(run.procedure, run.verdict, run.says, run.when.fact) for run in item.runs] == [
            (run.procedure, run.judgement.verdict, run.judgement.says, run.fact.id) for run in own
        ]
        tests = {test.fact: test.verdict for test in evidence[keys[item.tag]].tests if not test.claim}
        assert {run.when.fact: run.verdict for run in item.runs}.items() <= tests.items()


def test_a_pair_has_one_grade_at_every_door(workshop: Workshop, capsys: pytest.CaptureFixture[str]) -> None:
    graded = {(pair["sensor"], pair["unit"]): pair for pair in ask(workshop, capsys, "pairs", "--all")["pairs"]}
    assert len({pair["grade"] for pair in graded.values()}) > 2

    for pair in ask(workshop, capsys, "pairs", "plan")["pairs"]:
        assert pair == graded[pair["sensor"], pair["unit"]]
    with workshop.record.read() as session:
        halves = [part for part in lines_of(session) if part.kind in PAIRED]
        drawn = {item.tag: item for item in condition_list(session).items}
    for part in halves[:: max(1, len(halves) // 5)]:
        if part.gone:
            continue
        own = {key: pair for key, pair in graded.items() if part.tag in key}
        told = ask(workshop, capsys, "pairs", part.tag, "--all")["pairs"]
        assert {(pair["sensor"], pair["unit"]): pair for pair in told} == own
        with workshop.record.read() as session:
            lines = pairs_of(session, part.tag, all_of_them=True).lines
        assert {(line.sensor, line.unit): line.grade for line in lines} == {  # type: ignore[union-attr]
            key: pair["grade"] for key, pair in own.items()
        }
    for part in halves:
        if part.tag in drawn:
            confirmed = [key for key, pair in graded.items() if part.tag in key and pair["grade"] == "confirmed"]
            names_mates(drawn[part.tag].goes_with, {tag for key in confirmed for tag in key} - {part.tag})


def test_a_failed_test_stands_beside_the_grade_at_every_door(
    record: Record, target: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Who belongs together is one thing, who works another: a sensor that leaks keeps its mate, and is said to leak."""
    leaking, sound, unit = make_part(record, SENSOR), make_part(record, SENSOR), make_part(record, UNIT)
    with record.write() as session:
        state_fit(session, BY, "HV 204 118", "HV 310 002")
        for tag in (leaking, sound):
            note_seal(session, BY, tag, "cap", "intact", on="2026-03-01")
        blank = {"blank": ["0s=50cmHg", "10s=50cmHg"]}
        failed = bench.run(session, BY, leaking, "hold", ["0s=50cmHg", "10s=37cmHg"], blank, on="2026-03-12")
    shop = Workshop(record, target)
    told = "belong together; sensor failed the hold on 12 March 2026"
    mend = f"have sensor {leaking} repaired by a specialist, or mended here with a report and pictures, or look for a sound one"

    (pair,) = ask(shop, capsys, "pairs", leaking)["pairs"]
    assert (pair["unit"], pair["grade"], pair["next_step"]) == (unit, "confirmed", mend)
    assert pair["tests"] == [
        {
            "tag": leaking,
            "procedure": "hold",
            "verdict": "fail",
            "on": "2026-03-12",
            "fact": failed.fact.id,
            "says": "failed the hold on 12 March 2026",
        }
    ]
    every = {each["sensor"]: each for each in ask(shop, capsys, "pairs")["pairs"]}
    assert every[leaking] == pair
    assert every[sound]["tests"] == []

    plan = ask(shop, capsys, "pairs", "plan")
    assert plan["pairs"] == [every[sound]]
    (left,) = plan["left_over"]["sensors"]
    assert (left["tag"], [reason["says"] for reason in left["reasons"]]) == (
        leaking,
        [f"sensor {leaking} failed the hold on 12 March 2026", f"belongs with control unit {unit}"],
    )
    assert plan["wish_list"] == []

    with record.read() as session:
        (line,) = pairs_of(session, leaking, all_of_them=False).lines
        (first, _) = shelf_plan(session).lines
        (entry,) = [each for each in trust(card_of(session, leaking)) if each.name == "Goes with"]
        items = {item.tag: item for item in condition_list(session).items}
        belongs = goes_with(session, leaking, "sent out")
    assert (line.grade, line.says, line.next_step) == ("confirmed", told, mend)  # type: ignore[union-attr]
    assert (first.sensor, first.grade) == (leaking, "left over")  # type: ignore[union-attr]
    assert entry.says == f"{unit}  CONFIRMED  {told}"
    assert belongs is not None
    assert (belongs.unit, belongs.grade) == (unit, "confirmed")
    beside = f"; sensor {leaking} failed the hold on 12 March 2026"
    assert str(items[leaking].goes_with).startswith(f"{unit}: codes read on both, equal")
    assert str(items[leaking].goes_with).endswith(beside)
    assert beside not in str(items[sound].goes_with)
    assert str(items[unit].goes_with).endswith(beside)

    offer = tmp_path / "offer.json"
    offer.write_text(offer_text([replace(candidate(record, leaking), tag="X")], "2026-03-20"))
    (against,) = ask(shop, capsys, "pairs", "against", str(offer))["pairs"]
    assert (against["grade"], against["tests"][0]["says"]) == ("confirmed", "failed a test on its workshop's bench")


def trust(card: Any) -> list[Any]:
    return [entry for section in card.sections if section.name == "Trust" for entry in section.entries]


def candidate(record: Record, tag: str) -> Candidate:
    with record.read() as session:
        (found,) = load_candidates(session, Scope("part.tag = :tag", {"tag": tag}))
    return found


def test_on_another_day_the_list_names_the_pairs_of_that_day(workshop: Workshop) -> None:
    for day in OTHER_DAYS:
        the_list_names_the_pairs(workshop, AsOf(date.fromisoformat(day)))


def the_list_names_the_pairs(workshop: Workshop, when: AsOf) -> None:
    with workshop.record.read() as session:
        drawn = condition_list(session, when.day)
        keys = {part.tag: part.id for part in lines_of(session)}
        listed = [keys[item.tag] for item in drawn.items]
        halves = load_candidates_as_of(session, listed, when)
        pairs = pairs_among(
            [half for half in halves if half.kind == PAIRED[0]],
            [half for half in halves if half.kind == PAIRED[1]],
            fits_on_record(session, when),
        )
    for item in drawn.items:
        confirmed = [pair for pair in pairs if item.tag in (pair.sensor, pair.unit) and pair.grade == "confirmed"]
        names_mates(item.goes_with, {tag for pair in confirmed for tag in (pair.sensor, pair.unit)} - {item.tag})


def names_mates(goes_with: str | None, mates: set[str]) -> None:
    """Whether the list's words name mates that are confirmed, up to three of them, and none where there is none."""
    named = {word for word in (goes_with or "").split(":")[0].split() if "-" in word}
    assert bool(named) == bool(mates)
    assert named <= mates
    assert len(named) == min(len(mates), 3) or "a paper says" in (goes_with or "")


def test_now_is_one_thing_whoevers_clock_is_ahead(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a machine a day ahead wrote, or took back, counts now at every door, the list among them."""
    tag = make_part(record)
    with record.write() as session:
        stated = note_value(session, "Ines", tag, "850", "EUR", basis="market", on="2026-02-01")
    today, later = clock.today(), clock.now() + timedelta(days=1)

    class Ahead(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> datetime:
            return later.astimezone(tz)

    with monkeypatch.context() as other:
        other.setattr(clock, "datetime", Ahead)
        with record.write() as session:
            change.withdraw(session, "Bertil", stated, "another part")
            note_seal(session, "Bertil", tag, "cap", "missing")
    assert AsOf.on(today, today, today) == NOW
    with record.read() as session:
        for day, known in ((None, None), (today, None), (None, today), (today, today)):
            (item,) = condition_list(session, day, known).items
            assert item.value is None
            assert [seal.state for seal in item.seals_now] == ["missing"]
        assert lines_of(session)[0].seal_state == "missing"
