"""A record as tables of pandas, on either engine: the examples in the docstrings, and that nothing is lost or guessed."""

from __future__ import annotations

import doctest
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest

import inventory
from inventory.bench import actions as bench
from inventory.bench.runs.queries import runs_of_many
from inventory.condition_list.actions import condition_list
from inventory.declared import DECLARED
from inventory.errors import Refused
from inventory.facts.things import things_named
from inventory.facts.views import facts_of_many
from inventory.frames import Frames
from inventory.pairing.queries import all_pairs
from inventory.parts.markings import Markings
from inventory.store.record import Record
from inventory.valuation import actions as worth
from inventory.verification import verify
from tests.build import BY, CAR, Whole, make_part, whole_record
from tests.docs.readme import NOON, README, walked

HOME = Path(__file__).parents[1]


@pytest.fixture
def whole(record: Record, tmp_path: Path) -> Whole:
    """A record with one of everything, and a run on a car."""
    made = whole_record(record, tmp_path)
    with record.write() as session:
        bench.run(session, BY, CAR, "mixture", ["cruise CO=0.8%"], {}, on="2026-03-05")
    return made


@pytest.fixture
def opened(target: str) -> Iterator[Frames]:
    with inventory.open(target) as frames:
        yield frames


def test_the_examples_in_the_docstrings(target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On the record of the README's errand, on the day on which that was written."""
    walked(README.read_text(encoding="utf-8"), tmp_path, target)
    monkeypatch.setattr("inventory.store.days.clock.now", lambda: NOON)
    runner = doctest.DocTestRunner(verbose=False)
    finder = doctest.DocTestFinder()
    examples = [each for of in (inventory.open, Frames) for each in finder.find(of, globs={"target": target})]
    for each in examples:
        runner.run(each)

    assert [each.name for each in examples if each.examples] == [
        "open", "Frames", "Frames.condition_list", "Frames.facts", "Frames.pairs", "Frames.parts", "Frames.runs",
    ]  # fmt: skip
    assert runner.failures == 0


def test_identifiers_keep_their_zeros_and_what_is_not_known_is_missing(record: Record, opened: Frames) -> None:
    make_part(record, Markings(kind="relay", maker="NA", part_number="007", serial="0012", date_code="1E5"))
    make_part(record, Markings(kind="relay", serial="NaN", extra={"shelf": "09"}))
    parts = opened.parts.sort_values("serial")

    assert parts[["maker", "part_number", "serial", "date_code"]].values.tolist()[0] == ["NA", "007", "0012", "1E5"]
    assert parts["serial"].tolist() == ["0012", "NaN"]
    assert parts["maker"].isna().tolist() == [False, True]
    assert parts["match_code"].tolist() == [pd.NA, pd.NA]
    assert parts["extra"].tolist() == [{}, {"shelf": "09"}]
    assert parts["fitted"].tolist() == [False, False]


def test_days_stay_as_told_with_their_bounds_beside_them(record: Record, opened: Frames) -> None:
    tag = make_part(record)
    with record.write() as session:
        worth.note_value(session, BY, tag, "850", "EUR", on="about 1998")
        worth.note_value(session, BY, tag, "1", "EUR", on="0963-05")
    facts = opened.facts
    values = facts[facts["table"] == "valuation"].sort_values("earliest")

    assert values["on"].tolist() == ["0963-05", "1998~"]
    assert values["told"].tolist() == [pd.NA, "about 1998"]
    assert [day.date() for day in values["earliest"]] == [date(963, 5, 1), date(1998, 1, 1)]
    assert [day.date() for day in values["latest"]] == [date(963, 5, 31), date(1998, 12, 31)]
    assert str(facts["recorded"].dt.tz) == "UTC"


def test_money_is_exact(record: Record, opened: Frames) -> None:
    tag = make_part(record)
    with record.write() as session:
        for amount, currency in (("0.10", "EUR"), ("0.20", "EUR"), ("999999999999.99", "EUR"), ("0.125", "KWD")):
            worth.note_value(session, BY, tag, amount, currency, on="2026-02-01")
    facts = opened.facts
    sums = facts.dropna(subset=["amount"]).groupby("currency")["amount"].sum()

    assert sums.to_dict() == {"EUR": Decimal("1000000000000.29"), "KWD": Decimal("0.125")}
    assert facts["amount"].isna().sum() == len(facts) - 4


def test_every_fact_that_stands_is_there(whole: Whole, record: Record, opened: Frames) -> None:
    facts = opened.facts
    with record.read() as session:
        things = things_named(session)
        standing = [fact.id for several in facts_of_many(session, list(things)).values() for fact in several]

    assert facts["id"].tolist() == standing
    assert set(facts["table"]) == {kind.name for kind in DECLARED.facts}
    assert whole.facts[2] not in standing  # it was corrected
    assert set(facts[facts["table"] == "bench_run"]["about"]) == {whole.sensor, CAR}
    assert set(facts[facts["thing"] == "part"]["tag"]) == {whole.sensor, whole.unit, whole.relay}
    assert facts[facts["thing"] != "part"]["tag"].isna().all()
    assert facts[facts["table"] == "removal"]["car"].tolist() == [CAR] * 3
    assert facts[facts["table"] == "move"]["place"].tolist() == ["B2"]


def test_runs_and_pairs_are_those_of_the_commands(whole: Whole, record: Record, opened: Frames) -> None:
    with record.read() as session:
        runs = [run for several in runs_of_many(session, list(things_named(session))).values() for run in several]
        pairs = all_pairs(session, few=None).pairs

    assert opened.runs[["id", "verdict", "says", "figures"]].to_dict("records") == [
        {"id": run.fact.id, "verdict": run.judgement.verdict, "says": run.judgement.says,
         "figures": run.judgement.figures} for run in runs
    ]  # fmt: skip
    assert opened.runs["tag"].dropna().tolist() == [whole.sensor]
    assert opened.runs["car"].dropna().tolist() == [CAR]
    assert opened.pairs.to_dict("records") == [
        {"sensor": whole.sensor, "unit": whole.unit, "grade": pair.grade, "says": pair.says,
         "p_both_serviceable": pair.p_both_serviceable, "next_step": pair.next_step} for pair in pairs
    ]  # fmt: skip
    assert len(opened.pairs) == 1


@pytest.mark.parametrize("day", ["2026-03-31", date(2026, 3, 31)])
def test_the_condition_list_is_the_one_of_the_command(
    day: date | str, whole: Whole, record: Record, opened: Frames, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("inventory.store.days.clock.now", lambda: NOON)
    with record.read() as session:
        drawn = condition_list(session, date(2026, 3, 31), None, "market")
    listed = opened.condition_list(as_of=day, basis="market")

    assert (
        listed["tag"].tolist() == [item.tag for item in drawn.items] == sorted([whole.sensor, whole.unit, whole.relay])
    )
    assert listed["serial"].dropna().tolist() == [item.serial for item in drawn.items if item.serial]
    assert listed["counted"].tolist() == [item.counted_in_total for item in drawn.items]
    assert (listed.attrs["totals"], listed.attrs["fingerprint"]) == (drawn.totals, drawn.fingerprint)
    with pytest.raises(Refused) as unknown:
        opened.condition_list(basis="guess")
    with pytest.raises(Refused) as vague:
        opened.condition_list(as_of="2026-03")
    assert (unknown.value.code, vague.value.code) == ("unknown-basis", "not-one-day")


def test_an_empty_record_has_every_column_and_no_rows(opened: Frames) -> None:
    assert [len(each) for each in (opened.parts, opened.runs, opened.pairs, opened.condition_list())] == [0, 0, 0, 0]
    assert opened.parts["tag"].dtype == "string"
    assert opened.runs["earliest"].dtype == "datetime64[s]"
    assert {"seal", "amount", "recorded", "readings"} <= set(opened.facts)


def test_nothing_is_written(whole: Whole, record: Record, opened: Frames) -> None:
    before = verify(record)
    tables = [opened.parts, opened.facts, opened.runs, opened.pairs, opened.condition_list()]

    assert [len(table) > 0 for table in tables] == [True] * 5
    assert verify(record) == before
    assert before.ok


def test_once_closed_it_gives_nothing_more(target: str) -> None:
    with inventory.open(target) as frames:
        kept = frames.parts

    assert len(kept) == 0
    for ask in (lambda: frames.facts, lambda: frames.condition_list()):
        with pytest.raises(ValueError, match="the record is closed"):
            ask()


def test_a_path_that_holds_no_record_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        inventory.open(tmp_path / "none.db")
    assert refused.value.code == "no-record"


_BROWSER = """
import asyncio
from inventory.opening import open_record
from tui.app import Browser

async def walk():
    async with Browser(open_record({target!r}), by="Ines").run_test(size=(100, 30)) as pilot:
        for key in ("space", "f", "enter", "escape", "space", "p"):
            await pilot.press(key)
            await pilot.app.workers.wait_for_complete()

asyncio.run(walk())
"""


@pytest.mark.parametrize(
    "code",
    ["import inventory", "from tui.entry import main; main(['--record', {target!r}, 'part', 'find', 'K'])", _BROWSER],
    ids=["import", "part find", "browser"],
)
def test_pandas_is_imported_for_the_tables_alone(code: str, sqlite_target: str, record: Record) -> None:
    make_part(record)
    asked = f"{code.format(target=sqlite_target)}\nimport sys; print('pandas' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, cwd=HOME, check=True)

    assert done.stdout.splitlines()[-1] == "False"
