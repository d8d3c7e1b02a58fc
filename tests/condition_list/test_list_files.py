"""The list as csv and JSON, and the command that draws it."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest

from inventory.cli import main
from inventory.condition_list.actions import write_list
from inventory.condition_list.cells import disarmed
from inventory.condition_list.fingerprint import CHECK
from inventory.condition_list.pages import check_rows
from inventory.condition_list.table import columns
from inventory.errors import Refused
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.store.record import Record
from tests.condition_list.conftest import OnDay
from tests.condition_list.workshop import BY, Workshop


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\0=1", "＝1", "＋1", "－1", "＠SUM(A1)"]
)
def test_text_that_a_spreadsheet_would_run_gets_an_apostrophe(text: str) -> None:
    """OWASP, CSV injection: = + - @, tab, carriage return, line feed, NUL; full-width forms from memory."""
    assert disarmed(text) == f"'{text}"


@pytest.mark.parametrize("text", ["", "HV 204-118", "0012", "a;=1", "a,=1", '"=1', "2026-03-31", "850.00", "a+-b"])
def test_any_other_text_is_left_alone(text: str) -> None:
    assert disarmed(text) == text


def test_the_csv_holds_the_items(file_workshop: Workshop, tmp_path: Path) -> None:
    drawn = file_workshop.drawn("2026-03-30")
    write_list(tmp_path / "list.csv", drawn)
    raw = (tmp_path / "list.csv").read_bytes()
    with (tmp_path / "list.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))

    assert raw.startswith(b'\xef\xbb\xbf"No.","Tag"')
    checks = [list(row.values()) for row in rows if row["No."] == CHECK]
    rows = [row for row in rows if row["No."] != CHECK]
    assert raw.count(b"\r\n") == len(drawn.items) + 1 + len(checks)
    assert [(label, text) for _, label, text, *_ in checks] == check_rows(drawn)
    assert list(rows[0]) == [column.title for column in columns(drawn.options.audience)]
    (ours,) = [row for row in rows if row["Tag"] == file_workshop.tags["ours"]]
    assert (ours["Serial"], ours["Value"], ours["Currency"], ours["Counted"]) == ("0071-40822", "850.00", "EUR", "yes")
    assert (ours["Last seen"], ours["From"]) == ("2026-03-02", "bought (said by seller) 1998~")
    assert all(value for row in rows for value in row.values())


def test_hostile_text_in_the_csv(file_record: Record, on_day: OnDay, tmp_path: Path) -> None:
    on_day("2026-03-31")
    shop = Workshop(file_record)
    with file_record.write() as session:
        parts.add_part(session, BY, Markings(kind="relay", serial="=1+1", marks='say "a", then\x07 b;=2', maker=" =1"))
    write_list(tmp_path / "list.csv", shop.drawn())
    with (tmp_path / "list.csv").open(encoding="utf-8-sig", newline="") as file:
        row = next(csv.DictReader(file))

    assert (row["Serial"], row["Maker"], row["Marks as read"].rpartition("marks: ")[2]) == (
        "'=1+1",
        "'=1",
        'say "a", then b;=2',
    )


def test_the_json_is_the_whole_list(file_workshop: Workshop, tmp_path: Path) -> None:
    drawn = file_workshop.drawn("2026-03-30")
    write_list(tmp_path / "LIST.JSON", drawn)

    assert json.loads((tmp_path / "LIST.JSON").read_text(encoding="utf-8")) == json.loads(json.dumps(drawn.as_dict()))
    assert (tmp_path / "LIST.JSON").stat().st_mode & 0o077 == 0


def test_a_file_already_there_is_replaced_whole_or_kept(file_workshop: Workshop, tmp_path: Path) -> None:
    folder = tmp_path / "list.xlsx"
    folder.mkdir()
    (folder / "kept").touch()
    (tmp_path / "list.csv").write_text("before", encoding="utf-8")
    drawn = file_workshop.drawn("2026-03-30")

    with pytest.raises(Refused) as kept:
        write_list(tmp_path / "list.csv", drawn)
    assert kept.value.code == "file-exists"
    assert (tmp_path / "list.csv").read_text(encoding="utf-8") == "before"
    write_list(tmp_path / "list.csv", drawn, overwrite=True)
    with pytest.raises(Refused) as refused:
        write_list(folder, drawn, overwrite=True)
    assert refused.value.code == "not-a-file"

    assert (tmp_path / "list.csv").read_text(encoding="utf-8-sig").startswith('"No."')
    assert (folder / "kept").exists()
    assert not list(tmp_path.glob("*.part*"))
    assert not list(tmp_path.glob(".*.part*"))


@pytest.fixture
def answer(file_workshop: Workshop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Any:
    """Run `condition-list` on the workshop's record; gives status, stdout, stderr."""
    monkeypatch.setenv("MATCHMARK_BY", BY)

    def run(*words: str) -> tuple[int, str, str]:
        status = main(["condition-list", *words, "--record", str(file_workshop.record.path)])
        told = capsys.readouterr()
        return status, told.out, told.err

    return run


def test_a_look_records_nothing_and_a_file_counts(answer: Any, tmp_path: Path) -> None:
    status, out, _ = answer("--as-of", "2026-03-30", "--json")
    assert (status, json.loads(out)["number"], json.loads(out)["totals"]) == (0, 1, {"EUR": "1270.00"})
    assert json.loads(answer("--as-of", "2026-03-30", "--json")[1])["number"] == 1

    target = str(tmp_path / "list.json")
    status, out, _ = answer("-o", target, "--as-of", "2026-03-30", "--basis", "market", "--json")
    assert status == 0
    written = Path(target).read_text(encoding="utf-8")
    assert json.loads(out) == json.loads(written)
    assert json.loads(answer("--json")[1])["number"] == 2


def test_what_a_person_is_told(answer: Any, tmp_path: Path) -> None:
    status, out, _ = answer("-o", str(tmp_path / "list.xlsx"), "--as-of", "2026-03-30")

    assert status == 0
    assert "EUR 1270.00 counted" in out
    assert "EUR 90.00 not counted: held for others" in out
    assert "customer A = Ulla Brandvesk" in out
    assert f"Written to {tmp_path / 'list.xlsx'}" in out


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--as-of", "2026-04-01"), "date-in-the-future"),
        (("--known-on", "2026-04-01"), "date-in-the-future"),
        (("--as-of", "2026-03"), "not-one-day"),
        (("--as-of", "2026-02-30"), "not-a-date"),
        (("--basis", "markt"), "unknown-basis"),
        (("-o", "list.docx"), "no-such-format"),
        (("-o", "no-such-folder/list.csv"), "file-not-written"),
    ],
)
def test_what_is_refused(
    answer: Any, words: tuple[str, ...], code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    status, out, err = answer(*words, "--json")

    assert (status, json.loads(out)["error"]["code"]) == (3, code)
    assert err
    assert json.loads(answer("--json")[1])["number"] == 1
