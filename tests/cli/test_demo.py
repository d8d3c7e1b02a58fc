"""The demo: what a newcomer is told, what is left beside the record, and the keys of its JSON."""

from __future__ import annotations

import io
import re
from contextlib import redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from inventory.cli.app import root
from inventory.cli.demo import _WIDTH, _short
from inventory.cli.door import Door
from inventory.opening import open_record
from inventory.verification import verify


@dataclass(frozen=True)
class Demo:
    """One demo: its folder, the lines that were printed, and the data of its answer."""

    folder: Path
    lines: list[str]
    data: dict[str, Any]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    folder = tmp_path_factory.mktemp("demo") / "workshop"
    told = io.StringIO()
    with redirect_stdout(told):
        answer = root().main(["demo", str(folder)], "matchmark", standalone_mode=False, obj=Door())
    return Demo(folder, f"{told.getvalue()}{answer.text}".split("\n"), answer.data)


def test_its_folder_is_for_its_owner_only(demo: Demo) -> None:
    files = [each for each in demo.folder.iterdir() if each.is_file()]
    assert {each.stat().st_mode & 0o777 for each in files} == {0o600}
    assert demo.folder.stat().st_mode & 0o777 == 0o700


def test_a_newcomer_is_told_the_errand_in_sixty_lines(demo: Demo) -> None:
    commands = [line for line in demo.lines if line.startswith("  $ matchmark ")]
    told = " ".join(demo.lines)

    assert len(demo.lines) <= 60
    assert [line for line in demo.lines if len(line) > _WIDTH and str(demo.folder) not in line] == []
    assert len(commands) == 10
    for words in ("UNDECIDED", "PASS", "likely good", "CONFIRMED", "items", "are intact"):
        assert words in told
    assert demo.lines[-1] == f"  matchmark --record {demo.folder}/workshop.db"


def test_the_whole_walk_is_kept_beside_the_record(demo: Demo) -> None:
    """Every command that is printed is there in full, with its whole answer."""
    walk = (demo.folder / "walk.txt").read_text(encoding="utf-8")
    typed = re.findall(r"^\$ (matchmark .+)\n(.+)", walk, re.MULTILINE)
    assert len(typed) >= 40
    for line in demo.lines:
        if line.startswith("  $ matchmark "):
            assert [command for command, _ in typed if command.startswith(line[4:].removesuffix(" ..."))], line
    sentences = "\n".join(line[2:] for line in walk.split("\n") if line.startswith("# "))
    assert sentences.count("\n") >= 7
    assert "CARE  Never blow pressure into the unit" in walk


def test_its_record_is_whole_and_the_other_files_are_there(demo: Demo) -> None:
    record = open_record(demo.data["record"])
    found = verify(record)
    record.close()

    assert found.ok
    assert {key: Path(path).name for key, path in demo.data.items()} == {
        "record": "workshop.db",
        "condition_list": "condition-list.xlsx",
        "pair_report": "pair-report.txt",
        "walk": "walk.txt",
    }
    assert [path for path in demo.data.values() if not Path(path).is_file()] == []
    report = Path(demo.data["pair_report"]).read_text(encoding="utf-8")
    assert report.rstrip().endswith("6 confirmed, 3 probable, 10 possible; in 2 of these pairs a part failed a test")


def test_a_command_too_long_for_a_line_is_cut_between_words() -> None:
    assert _short(("verify",)) == "  $ matchmark verify"
    assert _short(("fact", "correct", "a-1", "--reason", "x " * 60)) == "  $ matchmark fact correct a-1 --reason ..."
