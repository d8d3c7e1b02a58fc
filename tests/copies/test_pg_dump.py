"""PostgreSQL's own tools, as a check from outside: what pg_dump writes and psql reads back is the same record."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from inventory.opening import open_record
from inventory.verification import verify
from tests.build import whole_record
from tests.databases import Databases
from tests.server import programs


@pytest.mark.postgres
def test_a_dump_read_back_has_the_same_anchor(postgres_target: str, databases: Databases, tmp_path: Path) -> None:
    """PostgreSQL documentation, "SQL Dump": psql -X --set ON_ERROR_STOP=on newdb < dumpfile."""
    record = open_record(postgres_target)
    whole_record(record, tmp_path)
    before = verify(record)
    record.close()
    bare = postgres_target.partition("?")[0].rpartition("/")[2]
    dump, there = tmp_path / "dump.sql", databases.copy("template0")
    on = ["-h", str(databases.home), "-U", "postgres"]
    subprocess.run([programs() / "pg_dump", *on, "-f", dump, bare], check=True, timeout=60)
    read = [programs() / "psql", *on, "-X", "-q", "--set", "ON_ERROR_STOP=on", "-d", there, "-f", dump]
    subprocess.run(read, check=True, timeout=60, stdout=subprocess.DEVNULL)

    again = open_record(postgres_target.replace(f"/{bare}?", f"/{there}?"))
    found = verify(again)
    again.close()
    databases.drop(there)
    assert (found.problems, found.anchor, found.entries) == ((), before.anchor, before.entries)
