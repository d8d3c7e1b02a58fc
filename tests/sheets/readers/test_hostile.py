"""Files that mean harm are refused in one sentence, in bounded memory and time, and leave nothing behind."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from datetime import date
from io import BytesIO
from pathlib import Path
from random import Random

import pytest

from inventory.errors import Refused
from inventory.sheets import SheetRefused, read_sheet
from inventory.sheets.readers.files import read_tables
from inventory.store.connection.engine import is_sqlite
from tests.cli.conftest import sentence_for_people
from tests.sheets.conftest import BY, Desk
from tests.sheets.readers.hostile import HOSTILE, book_with, ods_with, repacked
from tests.sheets.readers.made import WRITERS

#: The bound of a read, in MB.
_MOST_MEMORY = 600

_READ_ALL = """
import json, sys
from pathlib import Path
from inventory.errors import Refused
from inventory.sheets.readers.files import read_tables
from inventory.sheets.columns.layout import Answers, lay_out

def peak():
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmHWM:"):
            return int(line.split()[1]) / 1024

for name in sys.argv[1:]:
    try:
        lay_out(read_tables(Path(name)), Answers())
        code = None
    except Refused as refusal:
        code = refusal.code
    print(json.dumps([code, peak()]), flush=True)
"""


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the system does not tell the peak of a process")
def test_no_file_takes_more_memory_than_the_bound(tmp_path: Path) -> None:
    paths = []
    for number, (make, _) in enumerate(HOSTILE.values()):
        paths.append(tmp_path / f"{number}.xlsx")
        paths[-1].write_bytes(make())

    done = subprocess.run(
        [sys.executable, "-c", _READ_ALL, *map(str, paths)], capture_output=True, text=True, timeout=300, check=False
    )

    assert (done.returncode, done.stderr) == (0, "")
    seen = [json.loads(line) for line in done.stdout.splitlines()]
    assert dict(zip(HOSTILE, (code for code, _ in seen), strict=True)) == {
        name: code for name, (_, code) in HOSTILE.items()
    }
    peaks = dict(zip(HOSTILE, (peak for _, peak in seen), strict=True))
    assert max(peaks.values()) < _MOST_MEMORY, peaks


def _mutated(random: Random, book: bytes) -> bytes:
    """A file with some bytes changed, put in, taken out or cut off: of a zip mostly inside one of its parts."""
    if not book.startswith(b"PK") or random.random() < 0.2:
        return _spoilt(random, book)
    with zipfile.ZipFile(BytesIO(book)) as archive:
        name = random.choice(archive.namelist())
        return repacked(book, {name: _spoilt(random, archive.read(name))})


def _spoilt(random: Random, held: bytes) -> bytes:
    spoilt = bytearray(held)
    for _ in range(random.choice([1, 1, 2, 8, 40])):
        at, other = (random.randrange(len(spoilt) + 1) for _ in range(2))
        way = random.randrange(5)
        if way == 0:
            spoilt[at : at + 1] = random.randbytes(1)
        elif way == 1:
            del spoilt[at:]
        elif way == 2:
            spoilt[at:at] = random.randbytes(random.randrange(1, 9))
        elif way == 3:
            del spoilt[at : at + random.randrange(1, 64)]
        else:
            spoilt[at:at] = spoilt[other : other + random.randrange(1, 200)]
    return bytes(spoilt)


_ROWS = [
    ["Shelf list", None, None, None],
    ["Type", "Make", "P/N", "Bought", "Paid €"],
    ["relay", "Ostrell", "0012", date(2019, 4, 3), 12.5],
    ["injector", "Tolvranne", "HV 204", date(1971, 2, 1), 850],
]


def _made(folder: Path, library: str) -> bytes:
    if library == "csv":
        return 'Type;Make;P/N;Paid €\r\nrelay;Östrell;"00\n12";12,5\r\ninjector;;HV 204;\r\n'.encode()
    suffix, write = WRITERS[library]
    write(folder / f"sound{suffix}", _ROWS)
    return (folder / f"sound{suffix}").read_bytes()


@pytest.mark.slow
@pytest.mark.parametrize("library", [*WRITERS, "csv"])
def test_spoilt_files_are_read_whole_or_refused_whole(desk: Desk, library: str) -> None:
    random, sound = Random(library), _made(desk.folder, library)
    path = desk.folder / "spoilt.xlsx"
    outcomes = set()

    for _ in range(40 if is_sqlite(desk.record.engine) else 20):  # the reading is the same on both engines
        path.write_bytes(_mutated(random, sound))
        before = len(desk.tags())
        try:
            report = read_sheet(desk.record, path, BY)
        except SheetRefused as refusal:
            sentence_for_people(f"{refusal.message}.\n")
            outcomes.add("refused")
            assert len(desk.tags()) == before
        else:
            outcomes.add("read")
            assert len(desk.tags()) == before + report.added

    assert outcomes == {"read", "refused"}
    assert desk.fits()


def _locked_zip(book: bytes) -> bytes:
    """A zip whose directory says that its parts are locked."""
    marked = bytearray(book)
    at = marked.find(b"PK\x01\x02")
    while at >= 0:
        marked[at + 8] |= 1
        at = marked.find(b"PK\x01\x02", at + 4)
    return bytes(marked)


_MANIFEST = (
    b"<manifest:manifest><manifest:file-entry><manifest:encryption-data/></manifest:file-entry></manifest:manifest>"
)
_CONTAINER = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504)


@pytest.mark.parametrize(
    ("held", "says"),
    [
        (_locked_zip(book_with(b"")), "locked with a password"),
        (_CONTAINER + "EncryptedPackage".encode("utf-16-le"), "locked with a password"),
        (repacked(ods_with(""), {"META-INF/manifest.xml": _MANIFEST}), "locked with a password"),
        (_CONTAINER, "damaged or of another kind"),
        (book_with(b"<row><c></row>"), "damaged or of another kind"),
        (book_with(b"<row>")[:-200], "damaged or of another kind"),
        (ods_with("<table:table-row>"), "damaged or of another kind"),
        (repacked(book_with(b""), {"xl/workbook.xml": b"<workbook"}), "damaged or of another kind"),
        (repacked(ods_with(""), {"content.xml": b"\x00\x01"}), "damaged or of another kind"),
        (b"PK\x03\x04 no workbook", "damaged or of another kind"),
        (b"%PDF-1.7", "it is a PDF"),
        (b"<html><table><tr><td>Type</td></tr></table></html>", "it is a web page or XML"),
        ("Type;Make\nrelay;Östrell\ninjector;Müller".encode() + b"\xff", "damaged"),
    ],
)
def test_what_cannot_be_read_is_said_in_one_sentence(tmp_path: Path, held: bytes, says: str) -> None:
    path = tmp_path / "x.xlsx"
    path.write_bytes(held)

    with pytest.raises(Refused) as caught:
        read_tables(path)

    assert caught.value.code == "not-a-spreadsheet"
    assert says in caught.value.message


def test_an_xls_under_a_password_is_locked(tmp_path: Path) -> None:
    """A record FILEPASS (2Fh) behind the first of the workbook: MS-XLS 2.4.117, from memory."""
    write = WRITERS["xlwt"][1]
    write(tmp_path / "x.xls", [["Type"], ["relay"]])
    held = bytearray((tmp_path / "x.xls").read_bytes())
    start = held.index(b"\x09\x08\x10\x00")
    behind = start + 4 + 16
    held[behind : behind + 4] = b"\x2f\x00" + held[behind + 2 : behind + 4]
    (tmp_path / "x.xls").write_bytes(held)

    with pytest.raises(Refused) as caught:
        read_tables(tmp_path / "x.xls")

    assert "locked with a password" in caught.value.message


def test_macros_are_not_run_and_links_not_followed_and_both_are_said(tmp_path: Path) -> None:
    cells = (
        b'<row r="1"><c r="A1" t="str"><f>[1]Sheet1!A1</f><v>Type</v></c><c r="B1" t="inlineStr"><is><t>P/N</t></is></c>'
        b'<c r="C1"><f>1+1</f></c><c r="D1" t="e"><f>1/0</f><v>#DIV/0!</v></c></row>'
    )
    parts = {"xl/vbaProject.bin": b"\0", "xl/externalLinks/externalLink1.xml": b"<externalLink/>"}
    (tmp_path / "x.xlsm").write_bytes(book_with(cells, **parts))

    (table,) = read_tables(tmp_path / "x.xlsm")

    assert table.rows == [(1, ["Type", "P/N"])]
    assert [word for word, remark in zip(("other files", "macros", "1 formula", "1 cell"), table.remarks, strict=True) if word in remark] == [
        "other files", "macros", "1 formula", "1 cell",
    ]  # fmt: skip


def test_a_sheet_that_only_claims_to_be_large_is_read(tmp_path: Path) -> None:
    book = book_with(b'<row r="1"><c r="A1" t="inlineStr"><is><t>Type</t></is></c></row>')
    with zipfile.ZipFile(BytesIO(book)) as archive:
        sheet = archive.read("xl/worksheets/sheet1.xml")
    claimed = sheet.replace(b"<sheetData>", b'<dimension ref="A1:XFD1048576"/><sheetData>')
    (tmp_path / "x.xlsx").write_bytes(repacked(book, {"xl/worksheets/sheet1.xml": claimed}))

    (table,) = read_tables(tmp_path / "x.xlsx")

    assert table.rows == [(1, ["Type"])]


def test_controls_and_escapes_are_taken_out_with_a_note(desk: Desk) -> None:
    path = desk.csv([["Type", "Make", "Notes"], ["relay", "Ost\x1b[31mrell", "a\x00b\x9bc\u202ed"]])

    report = desk.read(path)

    card = desk.card()
    assert (card.line.maker, [note.values["text"] for note in card["notes"]]) == ("Ost[31mrell", ["abc\u202ed"])
    assert [remark.rsplit(maxsplit=1)[1] for remark in report.remarks] == ["maker", "notes"]
    assert all("parts, row 2" in remark for remark in report.remarks)


# OWASP, "CSV Injection" (first characters, from memory) and ASVS 1.2.10 (seen): each may come in, as text.
@pytest.mark.parametrize("library", list(WRITERS))
def test_what_would_start_a_formula_comes_in_as_the_text_it_is(tmp_path: Path, library: str) -> None:
    texts = ["+1", "-1+1", "@SUM(A1)", "＝1+1", "＋1", "－1", "＠SUM(A1)", "'=1+1", "''=1", "a;=1", "a,=1", " =1"]
    suffix, write = WRITERS[library]
    write(tmp_path / f"x{suffix}", [["Type", *texts]])

    (table,) = read_tables(tmp_path / f"x{suffix}")

    assert table.rows == [(1, ["Type", *texts])]
