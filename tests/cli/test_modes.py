"""What holds names, prices or places can be read by its owner only, whatever the umask of whoever works."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from tests.cli.conftest import Shop
from tests.pictures_made import picture_bytes

PDF = "-o", "{}.pdf"
#: A command for each way in which a file is made; `{}` is the name of a file that is not there yet.
WRITES = (
    ("condition-list", "-o", "{}.xlsx"),
    ("condition-list", "-o", "{}.csv"),
    ("condition-list", "-o", "{}.json"),
    ("sheet", "write", "{}.xlsx"),
    ("sheet", "write", "{}.csv"),
    ("sheet", "template", "{}.xlsx"),
    ("sheet", "read", "--strict", "rows.csv", "--rejects", "{}.xlsx"),
    ("bench", "template", "{}.toml"),
    ("pairs", "offer", "{}.txt"),
    ("labels", "TAG", *PDF),
    ("sale-sheet", "TAG", *PDF),
    ("passport", "write", "TAG", "-o", "{}.zip"),
    ("claim", "Green tourer", "--as-of", "2026-03-01", "--known-on", "TODAY", "-o", "{}.zip"),
    ("document", "get", "DIGEST", "-o", "{}.jpg"),
)


@pytest.fixture
def open_umask() -> Iterator[None]:
    before = os.umask(0o022)
    yield
    os.umask(before)


def _open_to_others(folder: Path) -> list[str]:
    """What in a folder others may read: files that are not 0600, folders that are not 0700."""
    modes = {each: each.lstat().st_mode & 0o777 for each in folder.rglob("*")}
    return [f"{each} {mode:o}" for each, mode in modes.items() if mode != (0o700 if each.is_dir() else 0o600)]


@pytest.mark.usefixtures("open_umask")
def test_what_commands_write_is_for_its_owner_only(
    file_shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = file_shop
    given = tmp_path / "given"
    given.mkdir()
    (given / "a.jpg").write_bytes(picture_bytes())
    Path("rows.csv").write_text("kind,serial,condition\npressure sensor,,x\nrelay,1,9\n")
    before = {each.name for each in Path().iterdir()}
    record = tmp_path / "deep" / "deeper" / "record.db"
    monkeypatch.setattr(shop, "target", str(record))
    shop.ok("new")
    shop.ok("car", "add", "Green tourer")
    shop.ok("teardown", "begin", "Green tourer", "--on", "2026-02-01")
    logged = shop.ok(
        "teardown", "log", "--kind", "pressure sensor", "--position", "wing", "--photo", str(given / "a.jpg")
    )
    tag = logged["part"]["tag"]
    (document,) = shop.ok("part", "show", tag)["documents"]
    shop.ok("stocktake", "begin")
    shop.ok("stocktake", "scan", tag)
    stands_for = {"TAG": tag, "DIGEST": document["digest"], "TODAY": date.today().isoformat()}
    for number, words in enumerate(WRITES):
        filled = [stands_for.get(word, word.format(f"out-{number}")) for word in words]
        said = shop.run(*filled)
        assert said.status in (0, 1), (filled, said.err)

    written = [each for each in Path().iterdir() if each.name not in before]
    assert len([each for each in written if each.is_file()]) == len(WRITES)
    assert [
        f"{each} {mode:o}" for each in written if each.is_file() and (mode := each.stat().st_mode & 0o777) != 0o600
    ] == []
    assert _open_to_others(tmp_path / "deep") == []
    assert (tmp_path / "deep").stat().st_mode & 0o777 == 0o700
    assert given.stat().st_mode & 0o777 == 0o755, "a folder of the person's is left as it is"
