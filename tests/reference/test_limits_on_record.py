"""A workshop's own limits are facts of the record: in force from a day on, on every machine, whatever lies beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from inventory.bench import actions as bench
from inventory.bench.runs.queries import runs_of
from inventory.cli import main
from inventory.condition_list.actions import condition_list
from inventory.errors import Refused
from inventory.evidence.queries import evidence_of
from inventory.facts.change import withdraw
from inventory.opening import Record, make_record, open_record
from inventory.parts.queries import part_row
from inventory.record.load_limits import limits_taken
from inventory.record.write_limits import differs_from_record, take_limits
from inventory.reference.data import reference_of
from inventory.store.connection.engine import record_url
from inventory.store.connection.migration import downgrade
from inventory.store.days import clock
from inventory.store.facts import NOW, AsOf
from inventory.verification import verify
from tests.build import BY, make_part

#: The primary of a good sensor is 90 ohm; the program's limits from memory pass it.
STRICT = """
[[limit]]
procedure = "resistance"
kind = "pressure sensor"
reading = "primary"
low = {low}
high = 130.0
source = "twelve of our own"
"""
KIND = '[[kind]]\nname = "throttle body"\nplural = "throttle bodies"\nprocedures = ["resistance"]\n'
NOON = datetime(2026, 4, 10, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _april(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("MATCHMARK_WORKSHOP", raising=False)
    at(monkeypatch, NOON)


def at(monkeypatch: pytest.MonkeyPatch, moment: datetime) -> None:
    """Set the clock of machine and server."""
    monkeypatch.setattr(clock, "now", lambda: moment)
    monkeypatch.setattr(clock, "now_on_server", lambda _: moment)
    monkeypatch.setattr(clock, "now_for", lambda _: moment)


def strict(folder: Path, low: float = 110.0, more: str = "") -> Path:
    """A file with limits of the workshop's own."""
    path = folder / "own.toml"
    path.write_text(STRICT.format(low=low) + more, encoding="utf-8")
    return path


def measured(record: Record) -> str:
    """A sensor with one run of March. Gives its tag."""
    tag = make_part(record)
    with record.write() as session:
        readings = ["primary=90ohm", "secondary=350ohm", "case=OL"]
        bench.run(session, BY, tag, "resistance", readings, {"ambient": "20degC"}, on="2026-03-12")
    return tag


def verdicts(record: Record, tag: str, when: AsOf = NOW) -> set[str]:
    """What bench, evidence and condition list say of the one run of a part."""
    with record.read() as session:
        part = part_row(session, tag)
        (run,) = runs_of(session, part.id, when)
        (test,) = evidence_of(session, part, when).tests
        (item,) = condition_list(session, when.day, when.known_on, limits_now=when.limits_now).items
        return {run.judgement.verdict, str(test.verdict), item.runs[0].verdict}


def test_each_day_is_judged_by_its_own_limits_at_every_door(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tag = measured(record)
    at(monkeypatch, NOON + timedelta(days=5))
    with record.write() as session:
        take_limits(session, BY, strict(tmp_path, more=KIND), on="2026-04-01")
    march = AsOf(date(2026, 3, 31))

    assert verdicts(record, tag) == {"fail"}
    assert verdicts(record, tag, AsOf(date(2026, 4, 1))) == {"fail"}
    assert verdicts(record, tag, march) == {"pass"}
    assert verdicts(record, tag, replace(march, limits_now=True)) == {"fail"}
    assert verdicts(record, tag, AsOf(None, date(2026, 4, 12))) == {"pass"}
    with record.read() as session:
        (run,) = runs_of(session, part_row(session, tag).id)
        listed = condition_list(session)
        before = condition_list(session, march.day)
    assert run.judgement.reasons[-1].says == f"judged by {listed.limits}"
    assert run.judgement.reasons[-1].facts == ("workshop_data-1",)
    assert listed.limits == f"the workshop's own limits of 1 April 2026, edition {listed.edition[:12]}"
    assert (before.limits, before.edition != listed.edition) == (None, True)


def test_what_was_in_force_is_what_a_plain_list_of_takings_says(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Takings and withdrawals on random days; on each pair of days asked and known, against a list of them."""
    random, first = Random(7), NOON - timedelta(days=0)
    rows: list[dict[str, date | int | None]] = []
    for step in range(9):
        today = first.date() + timedelta(days=step)
        at(monkeypatch, first + timedelta(days=step))
        with record.write() as session:
            if rows and random.random() < 0.3:
                gone = random.choice([row for row in rows if row["ended"] is None] or rows)
                if gone["ended"] is None:
                    withdraw(session, BY, f"workshop_data-{gone['id']}", "a trial")
                    gone["ended"] = today
                continue
            on = today - timedelta(days=random.choice((0, 0, 1, 3)))
            fact = take_limits(session, BY, strict(tmp_path, 100.0 + step), on.isoformat())
            assert fact is not None
            rows.append({"id": int(fact.split("-")[1]), "on": on, "known": today, "ended": None})

    days = [first.date() + timedelta(days=each) for each in range(-5, 9)]
    with record.read() as session:
        for day in days:
            for known in days:
                stood = [
                    (row["on"], place, row["id"])
                    for place, row in enumerate(rows)
                    if row["on"] <= day and row["known"] <= known and (row["ended"] is None or row["ended"] > known)  # type: ignore[operator]
                ]
                expected = f"workshop_data-{max(stood)[2]}" if stood else None  # type: ignore[type-var]
                found = reference_of(session, AsOf(day, known)).taken
                assert (found and found.fact) == expected, (day, known)


def test_a_machine_that_was_open_before_judges_by_new_limits_at_its_next_look(
    record: Record, target: str, tmp_path: Path
) -> None:
    tag, other = measured(record), open_record(target)
    assert verdicts(other, tag) == verdicts(record, tag) == {"pass"}

    with record.write() as session:
        fact = take_limits(session, BY, strict(tmp_path))
        assert fact is not None
    assert verdicts(other, tag) == verdicts(record, tag) == {"fail"}
    assert other.reference.edition == record.reference.edition

    with other.write() as session:
        withdraw(session, "Petra", fact, "the gauge was wrong")
    assert verdicts(record, tag) == verdicts(other, tag) == {"pass"}
    other.close()


def test_what_lay_beside_an_older_record_is_taken_in_and_no_verdict_changes(
    record: Record, target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tag = measured(record)
    record.close()
    downgrade(record_url(target), "0007")
    own = strict(tmp_path)
    if record.path is not None:
        own.rename(record.path.with_name(f"{record.path.stem}.workshop.toml"))
    else:
        monkeypatch.setenv("MATCHMARK_WORKSHOP", str(own))

    again = open_record(target)

    with again.read() as session:
        (taken,) = limits_taken(session)
    assert (taken.by, taken.in_force) == ("matchmark", True)
    assert "lay beside the record" in str(taken.reason)
    for when in (NOW, AsOf(date(2026, 3, 12)), AsOf(date(2026, 4, 1), date(2026, 4, 9)), AsOf(None, date(2026, 4, 9))):
        with again.read() as session:
            reference = reference_of(session, when)
        assert (reference.taken and reference.taken.fact) == taken.fact, when
    assert verdicts(again, tag) == {"fail"}
    assert differs_from_record(again) == ""
    assert verify(again).ok
    again.close()


def test_a_wrong_file_beside_an_older_record_is_refused_before_it_is_brought_up(
    record: Record, target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record.close()
    downgrade(record_url(target), "0007")
    own = tmp_path / "own.toml"
    monkeypatch.setenv("MATCHMARK_WORKSHOP", str(own))

    for text, code in ((None, "no-workshop-file"), ('[[kind]]\nname = "car"\n', "workshop-entry")):
        if text is not None:
            own.write_text(text, encoding="utf-8")
        with pytest.raises(Refused) as refused:
            open_record(target)
        assert refused.value.code == code
    own.write_text("", encoding="utf-8")
    again = open_record(target)
    assert again.brought_up_from == "0007"
    again.close()


@pytest.fixture
def unreadable(record: Record, target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Record]:
    """A record with limits that this version cannot read, opened anew."""
    with monkeypatch.context() as later, record.write() as session:
        later.setattr("inventory.reference.workshop.entries.read", lambda *_: {})
        (tmp_path / "later.toml").write_text("[[colour]]\n", encoding="utf-8")
        take_limits(session, BY, tmp_path / "later.toml")
    opened = open_record(target)
    yield opened
    opened.close()


def test_limits_of_a_later_rule_are_named_and_can_be_replaced(
    unreadable: Record, target: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with unreadable.read() as session, pytest.raises(Refused) as refused:
        reference_of(session)
    assert refused.value.code == "limits-not-readable"
    assert "own limits of 10 April 2026 (workshop_data-1): later.toml, line 1" in refused.value.message

    assert main(["--record", target, "part", "find", "K"]) == 0
    assert main(["--record", target, "limits", "write", str(tmp_path / "out.toml")]) == 0
    assert (tmp_path / "out.toml").read_text(encoding="utf-8") == "[[colour]]\n"
    assert main(["--record", target, "limits", "take", str(strict(tmp_path))]) == 0
    with unreadable.read() as session:
        assert reference_of(session).taken is not None
    capsys.readouterr()


def test_a_file_beside_is_only_a_source(tmp_path: Path) -> None:
    record = make_record(str(tmp_path / "r.db"))
    assert differs_from_record(record) == ""
    beside = tmp_path / "r.workshop.toml"
    beside.write_bytes(STRICT.format(low=110.0).replace("\n", "\r\n").encode("utf-8-sig"))

    assert differs_from_record(record).startswith("r.workshop.toml is not what the record goes by")
    assert record.reference.taken is None
    with record.write() as session:
        assert take_limits(session, BY, beside) == "workshop_data-1"
    with record.write() as session:
        assert take_limits(session, BY, beside) is None
    beside.write_text(STRICT.format(low=110.0), encoding="utf-8")  # other ends of lines: the same text
    assert differs_from_record(record) == ""
    beside.write_bytes(b"\xff")
    assert "it is not UTF-8 text" in differs_from_record(record)
    record.close()
