"""Files that a command is told to write or read: what is there stays, and what never ends is not read."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.cli.conftest import Shop

CSV = "kind,serial,condition\nrelay,1,9\npressure sensor,,x\n"
#: Each command that writes a file, with the file's name last.
WRITES = (
    ("condition-list", "-o", "list.xlsx"),
    ("condition-list", "-o", "list.csv"),
    ("condition-list", "-o", "list.json"),
    ("pairs", "offer", "offer.json"),
    ("sheet", "write", "all.xlsx"),
    ("sheet", "write", "all.ods"),
    ("sheet", "write", "all.csv"),
    ("sheet", "write", "all.json"),
    ("sheet", "template", "t.xlsx"),
    ("bench", "template", "own.toml"),
    ("sheet", "read", "--strict", "rows.csv", "--rejects", "bad.xlsx"),
)


def write(shop: Shop, *words: str) -> None:
    assert shop.run(*words).status in (0, 1)


@pytest.fixture
def filled(shop: Shop) -> Shop:
    shop.part(serial="71-1")
    Path("rows.csv").write_text(CSV)
    return shop


@pytest.mark.parametrize("words", WRITES, ids=lambda words: " ".join(words))
def test_what_is_there_stays_unless_it_is_to_be_replaced(filled: Shop, words: tuple[str, ...]) -> None:
    target = Path(words[-1])
    target.write_text("mine")

    assert filled.refused(*words)["code"] == "file-exists"
    assert target.read_text() == "mine"
    write(filled, *words, "--over")
    assert target.read_bytes() != b"mine"
    assert not [each.name for each in Path().iterdir() if ".part" in each.name]


@pytest.mark.parametrize("words", WRITES, ids=lambda words: " ".join(words))
def test_no_record_and_nothing_of_one_is_written_over(file_shop: Shop, words: tuple[str, ...]) -> None:
    tag = file_shop.part(serial="71-1")
    Path("rows.csv").write_text(CSV)
    Path("paper.pdf").write_bytes(b"a paper")
    file_shop.ok("document", "add", tag, "paper.pdf")
    record = Path(file_shop.target)
    (document,) = [each for each in Path(f"{record}.documents").glob("??/*") if each.is_file()]
    ending = Path(words[-1]).suffix
    victims = {
        record.with_name(f"record{ending}"): record,  # another name of the record itself
        document.with_name(f"{document.name}{ending}"): None,
        record.with_name(f"elsewhere{ending}"): record.with_name("other.db"),
    }
    record.with_name("other.db").write_bytes(record.read_bytes())
    for target, of in victims.items():
        if of is None:
            target.write_bytes(b"a document")
        else:
            os.symlink(of, target)
        before = target.read_bytes()
        for more in ((), ("--over",)):
            error = file_shop.refused(*words[:-1], str(target), *more)
            assert error["code"] == "file-of-a-record", target
            assert target.read_bytes() == before


def test_what_a_command_reads_is_not_written_over(filled: Shop) -> None:
    Path("rows.xlsx").write_text(CSV)  # a csv by what it holds

    for more in ((), ("--over",)):
        error = filled.refused("sheet", "read", "rows.xlsx", "--rejects", "rows.xlsx", *more)
        assert error["code"] == "file-being-read"
    assert Path("rows.xlsx").read_text() == CSV


def test_a_device_a_pipe_and_a_folder_are_no_target(filled: Shop) -> None:
    os.mkfifo("pipe.json")
    Path("folder.json").mkdir()

    for name in ("pipe.json", "folder.json", "/dev/null"):
        assert filled.refused("pairs", "offer", name, "--over")["code"] == "not-a-file"


@pytest.mark.parametrize("words", WRITES, ids=lambda words: " ".join(words))
def test_a_file_without_a_name_is_none(filled: Shop, words: tuple[str, ...]) -> None:
    assert filled.run(*words[:-1], "").status == 2


@pytest.mark.parametrize("name", [".", "..", "/"])
def test_a_list_is_not_written_to_a_folder(filled: Shop, name: str) -> None:
    assert filled.refused("condition-list", "-o", name)["code"] == "no-such-format"


def test_what_never_ends_is_not_taken_in(filled: Shop) -> None:
    tag = filled.found()[0]
    os.mkfifo("pipe.csv")

    for name in ("pipe.csv", "/dev/zero"):
        assert filled.refused("document", "add", tag, name)["code"] == "not-a-file"
        reading = ("bench", "run", "hold", tag, "--readings-file", name)
        assert filled.refused(*reading)["code"] == "not-a-file"
        assert filled.refused("pairs", "against", name)["code"] == "not-a-file"
        refused = filled.ok("sheet", "read", name, status=3)
        assert refused["error"]["code"] == "file-not-readable"


@pytest.mark.parametrize("words", [("part", "find"), ("new",), ("part", "add", "--kind", "relay")])
def test_a_record_without_a_name_is_no_record(file_shop: Shop, words: tuple[str, ...], tmp_path: Path) -> None:
    for named in (("--record", ""), ("--record=",), ("--record", "  ")):
        said = file_shop.bare(*named, *words)
        assert (said.status, said.out) == (2, "")
        assert "--record" in said.err
    assert not (tmp_path / "data").exists()
