"""Everything as plain files: what lies in the folder, who may read it, what others are not told, and what is refused."""

from __future__ import annotations

import csv
import hashlib
import stat
from html.parser import HTMLParser
from pathlib import Path

import pytest
from sqlalchemy import select

from inventory.errors import Refused
from inventory.given_out.tables import PaperWritten
from inventory.opening import make_record
from inventory.sheets import read_sheet
from inventory.sheets.writers.folder import write_folder
from inventory.store.record import Record
from tests.build import whole_record
from tests.pictures_made import picture_bytes
from tests.sheets.conftest import BY


class _Texts(HTMLParser):
    """The texts and the tags of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.add(tag)

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def whole(record: Record, tmp_path: Path) -> Record:
    (tmp_path / "originals").mkdir()
    whole_record(record, tmp_path / "originals")
    return record


def test_an_heir_finds_everything_in_plain_files(whole: Record, tmp_path: Path) -> None:
    folder = tmp_path / "for you"
    folder.mkdir()

    made = write_folder(whole, BY, folder)

    files = [path for path in folder.rglob("*") if path.is_file()]
    assert {stat.S_IMODE(path.stat().st_mode) for path in files} == {0o600}
    assert {stat.S_IMODE(path.stat().st_mode) for path in (folder, folder / "documents")} == {0o700}
    assert {path.stem for path in folder.glob("*.csv")} == set(made.rows)
    assert [len(rows(folder / f"{name}.csv")) for name in made.rows] == list(made.rows.values())
    named = [folder / row["file"] for row in rows(folder / "documents.csv")]
    assert sorted(named) == sorted((folder / "documents").iterdir()) and made.documents == len(named) == 3
    # The list is that of sha256sum (GNU coreutils): digest, two blanks, name.
    listed = [line.split("  ", 1) for line in (folder / "sha256.txt").read_text().splitlines()]
    assert all(hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest for digest, name in listed)
    assert hashlib.sha256((folder / "sha256.txt").read_bytes()).hexdigest() == made.fingerprint
    page = _Texts()
    page.feed((folder / "read me first.html").read_text(encoding="utf-8"))
    assert not page.tags & {"script", "link", "img", "iframe"}
    assert {f"{name}.csv" for name in made.rows} <= set(page.texts)
    assert made.fingerprint in " ".join(page.texts)
    with whole.read() as session:
        kept = session.scalars(select(PaperWritten).where(PaperWritten.what == "export")).one()
    assert (kept.fingerprint, kept.number) == (made.fingerprint, made.number) == (made.fingerprint, 1)


def test_its_workbook_is_read_into_an_empty_record(whole: Record, tmp_path: Path, empty_target: str) -> None:
    write_folder(whole, BY, tmp_path / "heir")
    other = make_record(empty_target)

    report = read_sheet(other, tmp_path / "heir" / "everything.xlsx", BY)

    assert report.added == report.rows_read > 40
    other.close()


def test_others_are_told_no_names_amounts_or_places(whole: Record, tmp_path: Path) -> None:
    (tmp_path / "case.jpg").write_bytes(picture_bytes())
    folder = tmp_path / "others"

    made = write_folder(whole, BY, folder, others=True)

    told = "".join(path.read_text(encoding="utf-8-sig") for path in folder.glob("*.[ch]*"))
    for secret in ("Marta Lindqvist", "Mill Lane", "0123 456", "280", "850", "B2", "P 7", "Otto Brandt"):
        assert secret not in told, secret
    assert "seller 1" in told or "seller 2" in told
    assert {"contacts", "values", "places", "policies", "files given out"} <= set(made.left_out)
    assert made.documents == 0  # the papers name people, and the test's picture is none


def test_a_folder_with_something_in_it_is_left_alone(whole: Record, tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        write_folder(whole, BY, tmp_path)
    with whole.read() as session:
        assert session.scalars(select(PaperWritten).where(PaperWritten.what == "export")).all() == []

    assert refused.value.code == "folder-not-empty"
    assert list(tmp_path.parent.glob(".*.part")) == []
