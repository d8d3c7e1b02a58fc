"""The claim: what was there on the day, what came later apart, chosen documents only, and proofs that hold."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from inventory.cars import actions as cars
from inventory.cli import main
from inventory.errors import Refused
from inventory.given_out.anchors import Anchor
from inventory.given_out.queries import written_papers
from inventory.papers.claim.write_claim import CLAIM, Claim, offered_for, write_claim
from inventory.parts import actions as parts
from inventory.places import actions as places
from inventory.provenance import actions as provenance
from inventory.store.journal.images import entry_hash
from inventory.store.journal.inclusion import Levels, is_included
from inventory.store.journal.merkle import Tree
from inventory.valuation.actions import note_value
from tests.condition_list.conftest import OnDay, file_record, file_workshop, furnished_once, on_day, workshop
from tests.condition_list.workshop import BY, Workshop

__all__ = ["file_record", "file_workshop", "furnished_once", "on_day", "workshop"]

LOSS = date(2026, 4, 10)


def _claim(shop: Workshop, path: Path, named: str = "Ebb yard", **options: object) -> tuple[Claim, dict[str, bytes]]:
    claim = write_claim(shop.record, BY, named, LOSS, path, **options)  # type: ignore[arg-type]
    with zipfile.ZipFile(path) as archive:
        return claim, {name.partition("/")[2]: archive.read(name) for name in archive.namelist()}


@pytest.fixture
def shop(workshop: Workshop, on_day: OnDay, tmp_path: Path) -> Workshop:
    """A yard with shelf B2 in it and a car that stands in it; a paper and a correction of after the loss."""
    receipt = tmp_path / "receipt.txt"
    receipt.write_text("Sold by Ulla Brandvesk", encoding="utf-8")
    with workshop.record.write() as session:
        places.add_place(session, BY, "Ebb yard", on="2020")
        places.describe_place(session, BY, "shelf B2", within="Ebb yard")
        cars.put_car(session, BY, "Green tourer", "Ebb yard", on="2026-03-31")
        parts.attach(session, BY, workshop.tags["ours"], receipt, shows="paper", on="2026-03-31")
    on_day("2026-04-20")
    late = tmp_path / "late.txt"
    late.write_text("found in a drawer", encoding="utf-8")
    with workshop.record.write() as session:
        parts.attach(session, BY, workshop.tags["ours"], late, shows="paper", on="2026-03-01")
        parts.assess(session, BY, workshop.tags["ours"], 3, damage="crushed", on="2026-04-09")
    return workshop


def test_a_claim_holds_what_was_there_and_what_came_later_apart(shop: Workshop, tmp_path: Path) -> None:
    target = tmp_path / "claim.zip"
    claim, files = _claim(shop, target, documents=["receipt.txt", "late.txt"])
    told = json.loads(files["list/condition-list.json"])

    assert {item["tag"] for item in told["items"]} == {shop.tags["ours"], shop.tags["on_green"]}
    assert [item["number"] for item in told["items"]] == [1, 2]
    assert (told["totals"], told["left_out"]) == (
        {"EUR": "870.00"},
        [{"number": 5, "reason": "elsewhere: not at Ebb yard"}],
    )
    looks = {item["tag"]: item["condition"] and item["condition"]["category"] for item in told["items"]}
    assert looks == {shop.tags["ours"]: 2, shop.tags["on_green"]: None}
    assert load_workbook(io.BytesIO(files["list/condition-list.xlsx"]))["Items"].max_row == 3
    assert "crushed" not in files["list/condition-list.json"].decode().split('"later"')[0]
    assert [name for name in files if "documents/" in name and not name.startswith("recorded-after/")] != []
    assert [files[name] for name in files if name.startswith("recorded-after/documents/")] == [b"found in a drawer"]
    assert "document that came later" in files["recorded-after/recorded-after.txt"].decode()
    assert target.stat().st_mode & 0o077 == 0
    with shop.record.read() as session:
        (paper,) = written_papers(session, CLAIM)
    proof = json.loads(files["journal/proof.json"])
    assert (paper.number, paper.as_of, paper.fingerprint) == (1, "2026-04-10", claim.fingerprint)
    assert paper.anchor == Anchor(proof["anchor"], proof["size"])


@pytest.mark.parametrize("lost", ["ours", "unit"])
def test_a_pair_counts_whichever_half_was_there(
    file_workshop: Workshop, on_day: OnDay, tmp_path: Path, lost: str
) -> None:
    shop, kept = file_workshop, {"ours": "unit", "unit": "ours"}[lost]
    with shop.record.write() as session:
        note_value(session, BY, shop.tags["ours"], "1500", "EUR", mate=shop.tags["unit"], on="2026-03-02")
        places.add_place(session, BY, "Ebb yard", on="2020")
        places.put(session, BY, shop.tags[lost], "Ebb yard", on="2026-03-31")
    on_day("2026-04-20")
    claim, _ = _claim(shop, tmp_path / "claim.zip")

    (item,) = claim.drawn.items
    assert claim.drawn.totals == {"EUR": "1500.00"}
    assert item.value_alone is not None
    assert item.remarks[-1] == f"the value is of the pair; {shop.tags[kept]} is not on this list"


def test_every_file_and_every_entry_can_be_checked(shop: Workshop, tmp_path: Path) -> None:
    claim, files = _claim(shop, tmp_path / "claim.zip")
    lines = dict(line.split("  ")[::-1] for line in files["manifest-sha256.txt"].decode().splitlines())
    proof = json.loads(files["journal/proof.json"])

    assert lines == {name: hashlib.sha256(held).hexdigest() for name, held in files.items() if name in lines}
    assert lines.keys() == files.keys() - {"manifest-sha256.txt"}
    assert claim.fingerprint == hashlib.sha256(files["manifest-sha256.txt"]).hexdigest()
    assert {each["thing"] for each in proof["entries"]} == {shop.tags["ours"], shop.tags["on_green"], "Ebb yard"}
    for each in proof["entries"]:
        entry, path = each["entry"], [bytes.fromhex(step) for step in each["path"]]
        args = each["place"] - 1, proof["size"], path, bytes.fromhex(proof["root"])
        assert is_included(entry["hash"].encode(), *args)
        assert not is_included(b"0" * 64, *args)
        assert entry["images"] is None or entry_hash(entry) == entry["hash"]
    assert "Gribbling" not in files["journal/proof.json"].decode()


def test_no_document_goes_unasked_and_each_says_what_it_is(shop: Workshop, tmp_path: Path) -> None:
    _, files = _claim(shop, tmp_path / "claim.zip")
    assert [name for name in files if "documents/" in name] == []

    with shop.record.read() as session:
        says = [each.says for each in offered_for(session, "ebb yard", LOSS)]
    (receipt,) = [line for line in says if line.startswith("receipt.txt")]
    assert "paper" in receipt and shop.tags["ours"] in receipt and "it names Ulla Brandvesk" in receipt
    assert next(line for line in says if "recorded after that day" in line).startswith("late.txt")


def test_a_part_that_left_on_the_very_day_is_named_or_refused_with_the_day_before(
    shop: Workshop, on_day: OnDay, tmp_path: Path
) -> None:
    on_day("2026-04-21")
    with shop.record.write() as session:
        provenance.note_provenance(session, BY, shop.tags["ours"], "stolen", on="2026-04-10")
    claim, _ = _claim(shop, tmp_path / "one.zip", known_on=date(2026, 4, 21))

    assert claim.left_that_day == (shop.tags["ours"],)
    with pytest.raises(Refused) as refused:
        write_claim(shop.record, BY, "shelf B2", LOSS, tmp_path / "two.zip", known_on=date(2026, 4, 21))
    assert "--as-of 2026-04-09" in (refused.value.hint or "")


@pytest.mark.parametrize(("more", "known"), [((), "2026-04-10"), (("--known-on", "2026-04-12"), "2026-04-12")])
def test_the_command_shows_what_was_known_on_the_day_of_the_loss(
    file_workshop: Workshop, on_day: OnDay, tmp_path: Path, more: tuple[str, ...], known: str
) -> None:
    on_day("2026-04-20")
    words = ["claim", "draw", "Green tourer", "--as-of", "2026-04-10", "-o", str(tmp_path / "claim.zip"), *more]

    assert main(["--record", file_workshop.record._target, *words]) == 0
    with file_workshop.record.read() as session:
        (paper,) = written_papers(session, CLAIM)
    assert paper.known_on == known


@pytest.mark.parametrize(
    ("named", "day", "options", "code"),
    [
        ("Ebb yard", date(2026, 4, 21), {}, "date-in-the-future"),
        ("no such", LOSS, {}, "unknown-car-or-place"),
        ("Blue barn", LOSS, {}, "nothing-there"),
        ("Blue barn", date(2026, 4, 20), {}, "nothing-there"),
        ("Grey saloon", LOSS, {}, "several-meant"),
        ("Ebb yard", LOSS, {"documents": ["other.txt"]}, "document-not-of-part"),
        ("Ebb yard", LOSS, {"documents": ["none.jpg"], "pictures": "copies"}, "not-a-picture"),
    ],
)
def test_what_is_refused_writes_nothing(
    file_workshop: Workshop,
    on_day: OnDay,
    tmp_path: Path,
    named: str,
    day: date,
    options: dict[str, Any],
    code: str,
) -> None:
    shop = file_workshop
    other = tmp_path / "other.txt"
    other.write_text("of another part", encoding="utf-8")
    with shop.record.write() as session:
        places.add_place(session, BY, "Ebb yard", on="2020")
        places.add_place(session, BY, "Blue barn", on="2020")
        places.add_place(session, BY, "Grey saloon", on="2020")
        places.describe_place(session, BY, "shelf B2", within="Ebb yard")
        parts.attach(session, BY, shop.tags["unit"], other, shows="paper", on="2026-03-31")
        (tmp_path / "none.jpg").write_text("no picture")
        parts.attach(session, BY, shop.tags["ours"], tmp_path / "none.jpg", shows="whole", on="2026-03-31")
    on_day("2026-04-20")
    with pytest.raises(Refused) as refused:
        write_claim(shop.record, BY, named, day, tmp_path / "claim.zip", **options)

    assert refused.value.code == code
    assert code != "nothing-there" or bool(refused.value.hint) == (day == LOSS), "that day was known already"
    assert code != "not-a-picture" or "none.jpg" in refused.value.message
    assert not (tmp_path / "claim.zip").exists()


@pytest.mark.parametrize("size", [1, 2, 3, 4, 5, 6, 7, 8, 13, 64, 65])
def test_audit_paths_by_the_rfc(size: int) -> None:
    """RFC 6962 section 2.1: the root is that of `Tree`, itself tested against the RFC; paths checked as RFC 9162 says."""
    leaves = [bytes([number]) for number in range(size)]
    levels, tree = Levels(leaves), Tree()
    for each in leaves:
        tree.add(each)

    assert levels.root() == tree.root()
    for index, each in enumerate(leaves):
        path = levels.path(index)
        assert path == _path(index, leaves)
        assert is_included(each, index, size, path, levels.root())
        assert not is_included(each, (index + 1) % size, size, path, levels.root()) or size == 1
        assert not is_included(each, index, size, [*path, levels.root()], levels.root())


def _path(index: int, leaves: list[bytes]) -> list[bytes]:
    """PATH(m, D[n]) word for word as RFC 6962 section 2.1.1 defines it."""
    if len(leaves) == 1:
        return []
    split = 1 << (len(leaves) - 1).bit_length() - 1
    here, other = (leaves[:split], leaves[split:]) if index < split else (leaves[split:], leaves[:split])
    return [*_path(index if index < split else index - split, here), _root(other)]


def _root(leaves: list[bytes]) -> bytes:
    tree = Tree()
    for each in leaves:
        tree.add(each)
    return tree.root()
