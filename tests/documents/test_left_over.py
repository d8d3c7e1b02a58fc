"""What lies among the documents and belongs to none is remarked upon; what cannot be read is not called changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from inventory.cli import main
from inventory.documents.read_stored import IDENTITY, folder
from inventory.opening import open_record
from inventory.verification import verify
from tests.build import whole_record


def test_files_of_no_document_and_half_written_ones_are_told_with_how_to_remove_them(
    sqlite_target: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = open_record(sqlite_target)
    whole_record(record, tmp_path)
    among = folder(record.engine)
    kept = next(path for path in among.rglob("*") if path.is_file() and path.name != IDENTITY)
    (kept.parent / f"{kept.name}.77.part").write_bytes(b"half")
    for name in ("a" * 64, "holiday.jpg"):
        (among / name).write_bytes(b"whole")

    found = verify(record)
    assert found.ok
    half, orphans = found.remarks
    assert half.says.startswith("1 file half written lies among the documents.")
    assert f"delete {kept}.77.part" in half.says
    assert orphans.says.startswith("2 files of no document on record lie among the documents.")

    held = kept.read_bytes()
    kept.unlink()
    kept.mkdir()
    unread = verify(record)
    (problem,) = unread.problems
    assert "cannot be read here" in problem.says
    assert main(["--record", sqlite_target, "verify"]) == 1
    said = capsys.readouterr().out
    assert "changed outside" not in said
    assert "All that can be read here is intact" in said

    kept.rmdir()
    kept.write_bytes(held[:-1])
    (problem,) = verify(record).problems
    assert f"it has {len(held) - 1} bytes of {len(held)}" in problem.says
    record.close()
