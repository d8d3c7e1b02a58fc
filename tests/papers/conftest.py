"""Two workshops: the seller's on either engine, the buyer's on a file."""

from __future__ import annotations

import json
import shutil
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from inventory.opening import make_record
from tests.cli.conftest import Shop, _hand, file_shop, shop
from tests.pictures_made import picture_bytes

__all__ = ["_hand", "file_shop", "shop"]


@pytest.fixture(scope="session")
def elsewhere(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, bytes]:
    """Two empty records that are not copies of one another: each has an identity of its own."""
    folder = tmp_path_factory.mktemp("elsewhere")
    for name in ("buyer.db", "third.db"):
        make_record(str(folder / name)).close()
    return (folder / "buyer.db").read_bytes(), (folder / "third.db").read_bytes()


@pytest.fixture
def buyer(elsewhere: tuple[bytes, bytes], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shop:
    """Another workshop, on a file of its own."""
    (tmp_path / "buyer.db").write_bytes(elsewhere[0])
    return Shop(str(tmp_path / "buyer.db"), capsys.readouterr)


@pytest.fixture
def third(elsewhere: tuple[bytes, bytes], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Shop:
    """A third workshop, on a file of its own."""
    (tmp_path / "third.db").write_bytes(elsewhere[1])
    return Shop(str(tmp_path / "third.db"), capsys.readouterr)


@dataclass(frozen=True)
class Sold:
    """A sensor with a history that names people, prices and places, on the seller's record."""

    shop: Shop
    tag: str

    def write(self, file: str, *words: str) -> dict[str, Any]:
        """Write its passport with names cut."""
        return dict(self.shop.ok("passport", "write", self.tag, "-o", file, "--names", "cut", *words))


@pytest.fixture
def sold(shop: Shop) -> Sold:
    """See `Sold`."""
    return sold_by(shop)


@pytest.fixture(scope="session")
def sold_once(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """A folder for the seller's record on a file, and its tag once it is there: made once, copied for every test."""
    return tmp_path_factory.mktemp("sold"), []


@pytest.fixture
def sold_from_file(file_shop: Shop, tmp_path: Path, sold_once: tuple[Path, list[str]]) -> Sold:
    """The same on a file, for what does not differ between engines."""
    folder, tags = sold_once
    if not tags:
        tags.append(sold_by(file_shop).tag)
        shutil.copytree(tmp_path, folder, dirs_exist_ok=True)
    shutil.copytree(folder, tmp_path, dirs_exist_ok=True)
    return Sold(file_shop, tags[0])


def sold_by(shop: Shop) -> Sold:
    Path("whole.jpg").write_bytes(picture_bytes(taken="2026:03:12 10:00:00"))
    Path("receipt.txt").write_text("Receipt: Ilvar Teske, 310 EUR")
    shop.stripping()
    logged = shop.ok(
        *("teardown", "log", "--kind", "pressure sensor", "--maker", "Ostrell", "--part-number", "HV 204 118"),
        *("--serial", "71-40822", "--match-code", "K", "--position", "inner wing", "--condition", "2"),
        *("--note", "one stud bent, says ILVAR  Teske", "--photo", "whole.jpg"),
    )
    tag = logged["part"]["tag"]
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact")
    shop.ok("instrument", "add", "their gauge", "--specification", "1.6%")
    run = ("--reading", "0s=50cmHg", "--reading", "10s=48cmHg", "--resolution", "1cmHg", "--instrument", "their gauge")
    shop.ok("bench", "run", "hold", tag, *run)
    shop.ok("place", "add", "shelf B2")
    shop.ok("place", "put", tag, "shelf B2")
    came = ("--party", "Ilvar Teske", "--price", "310", "--currency", "EUR", "--attribution", "said by seller")
    shop.ok("provenance", "note", tag, "--how", "bought", *came, "--on", "1998~", "--document", "receipt.txt")
    shop.ok("value", "note", tag, "--amount", "850", "--currency", "EUR", "--basis", "market", "--source", "two sales")
    shop.ok("work", "log", tag, "--what", "new bracket", "--where", "outside", "--cost", "45", "--currency", "EUR")
    return Sold(shop, tag)


def facts_of(shop: Shop, tag: str) -> dict[str, dict[str, Any]]:
    """All facts of a part that count, by id."""
    every = shop.ok("fact", "list", tag)["facts"]
    return {fact["id"]: fact for fact in every if fact["superseded_by"] is None}


def history_in(file: str) -> dict[str, Any]:
    """The JSON of a passport."""
    with zipfile.ZipFile(file) as opened:
        name = next(each for each in opened.namelist() if each.endswith("data/part-history.json"))
        return dict(json.loads(opened.read(name)))
