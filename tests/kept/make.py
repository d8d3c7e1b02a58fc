"""Keeps a record of this version: `python -m tests.kept.make FOLDER`, once, when its schema is finished."""

from __future__ import annotations

import contextlib
import gzip
import io
import json
import sys
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from inventory.cli import main as command
from inventory.opening import make_record
from inventory.parts.queries import lines_of
from inventory.store.connection.version import HEAD
from inventory.store.record import Record
from inventory.store.tables import Base
from tests.build import CAR, whole_record
from tests.kept import FOLDER, asked


def keep(folder: Path) -> Path:
    """Make a record with one of everything, and keep its rows and what is said of it."""
    target = folder / "kept.db"
    record = make_record(str(target))
    whole_record(record, folder)
    with record.read() as session:
        tags = [line.tag for line in lines_of(session)]
    said = {" ".join(words): _answer(target, words) for words in asked(tags, CAR)}
    documents = {
        path.name: path.read_bytes().decode("latin-1")
        for path in sorted(Path(f"{target}.documents").glob("??/*"))
        if path.is_file()
    }
    kept = {"rows": _rows(record), "documents": documents, "said": said, "tags": tags}
    path = FOLDER / f"{HEAD}.json.gz"
    path.write_bytes(gzip.compress(json.dumps(kept, ensure_ascii=False, sort_keys=True).encode(), mtime=0))
    return path


def _rows(record: Record) -> dict[str, list[dict[str, Any]]]:
    with record.read() as session:
        return {
            table.name: [dict(row) for row in session.execute(sa.select(table).order_by(*table.primary_key)).mappings()]
            for table in Base.metadata.sorted_tables
            if table.name != "document_content"
        }


def _answer(target: Path, words: list[str]) -> Any:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        command([*words, "--record", str(target), "--by", "Ines", "--json"])
    return json.loads(out.getvalue())


if __name__ == "__main__":
    print(keep(Path(sys.argv[1])))
