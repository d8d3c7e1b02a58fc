"""Cold starts, as whole processes, each in turn with the bare floor that the figure names."""

from __future__ import annotations

import sys
from pathlib import Path

from inventory.cli import main
from tests.benchmarks.report import in_turn, run_command, table

MATCHMARK = str(Path(sys.executable).with_name("matchmark"))


def test_cold_starts(sqlite_target: str) -> None:
    part = ["part", "add", "--kind", "pressure sensor", "--part-number", "HV 204 118", "--match-code", "K"]
    assert main([*part, "--record", sqlite_target]) == 0
    rows = []
    for name, command, floor in (
        ("--version, against importing click", ["--version"], "import click"),
        ("--help, against importing click", ["--help"], "import click"),
        ("part find, against importing sqlalchemy.orm", ["part", "find", "K"], "import sqlalchemy.orm"),
    ):
        record = ["--record", sqlite_target] if command[0] == "part" else []
        ours = run_command([MATCHMARK, *command, *record])
        rows.append((name, *in_turn(ours, run_command([sys.executable, "-c", floor]))))
    table("Cold starts", rows)
