"""The bag, the zip and the signature: against published examples and a reference library, and against bad input."""

from __future__ import annotations

import hashlib
import io
import json
import stat
import sys
import zipfile
from pathlib import Path
from typing import Any

import bagit
import pytest

from inventory.errors import Refused
from inventory.opening import open_record
from inventory.papers.passport.bag import bagged, problems_of
from inventory.papers.passport.history import canonical, history_from
from inventory.papers.passport.read_passport import check_passport
from inventory.papers.passport.read_zip import open_zip
from inventory.papers.passport.signing import SMALL_ORDER, fits, public_of, signed
from inventory.papers.passport.write_passport import zipped
from inventory.store.journal.log import identity_of_record
from tests.cli.conftest import Shop
from tests.papers.conftest import Sold, history_in

#: RFC 8032, section 7.1 (Ed25519), tests 1 to 3: secret key, public key, message, signature.
ED25519 = (
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
        "d25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c"
        "387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc659"
        "4a7c15e9716ed28dc027beceea1ec40a",
    ),
)


def _problems(files: dict[str, bytes]) -> list[str]:
    sizes = {name: len(held) for name, held in files.items()}
    return problems_of(sizes, lambda name: hashlib.sha256(files[name]).hexdigest(), lambda name: files[name].decode())


@pytest.mark.parametrize(("secret", "public", "message", "signature"), ED25519)
def test_signatures_are_those_of_rfc_8032(secret: str, public: str, message: str, signature: str) -> None:
    key, text = bytes.fromhex(secret), bytes.fromhex(message)
    assert (public_of(key), signed(key, text)) == (public, signature)
    assert fits(public, signature, text)
    assert not fits(public, signature, text + b"!")
    assert not fits(public, signature[:-2] + "ff", text)


def test_no_key_of_small_order_fits_or_is_trusted(buyer: Shop) -> None:
    """The group law is that of RFC 8032, section 5.1.4, the decoding that of 5.1.3; eight times each point is neutral."""
    p = 2**255 - 19
    d = -121665 * pow(121666, -1, p) % p

    def doubled(x: int, y: int) -> tuple[int, int]:
        cross = d * x * x * y * y % p
        return 2 * x * y * pow(1 + cross, -1, p) % p, (y * y + x * x) * pow(1 - cross, -1, p) % p

    for written in SMALL_ORDER:
        y = int.from_bytes(written, "little") % p
        square = (y * y - 1) * pow(d * y * y + 1, -1, p) % p
        root = pow(square, (p + 3) // 8, p)
        x = root if root * root % p == square else root * pow(2, (p - 1) // 4, p) % p
        assert x * x % p == square
        for _ in range(3):
            x, y = doubled(x, y)
        assert (x, y) == (0, 1)
    neutral = "01" + "00" * 31
    assert not fits(neutral, neutral + "00" * 32, b"anything")
    assert buyer.refused("passport", "key", "trust", "Nobody", neutral)["code"] == "not-a-key"


def test_what_a_signed_passport_brought_only_that_key_takes_back(sold_from_file: Sold, buyer: Shop) -> None:
    sold_from_file.write("first.zip", "--sign")
    buyer.ok("passport", "read", "first.zip")
    sold_from_file.shop.ok("fact", "withdraw", "seal_sighting-1", "--reason", "misread")
    sold_from_file.write("unsigned.zip")
    told = buyer.ok("passport", "read", "unsigned.zip")
    assert (told["taken_back"], len(told["not_believed"])) == ([], 1)
    sold_from_file.write("signed.zip", "--sign")
    told = buyer.ok("passport", "read", "signed.zip")
    assert (len(told["taken_back"]), told["not_believed"]) == (1, [])


def test_bags_are_those_of_the_reference_library(sold_from_file: Sold, tmp_path: Path) -> None:
    """bagit-python (Library of Congress) validates ours, and we find its bag whole: the layout of RFC 8493, 4.1."""
    sold_from_file.write("p.zip")
    with zipfile.ZipFile("p.zip") as opened:
        opened.extractall(tmp_path / "ours")
    (ours,) = (tmp_path / "ours").iterdir()
    assert bagit.Bag(str(ours)).validate()

    theirs = tmp_path / "theirs"
    (theirs / "27613-h" / "images").mkdir(parents=True)
    (theirs / "27613-h" / "images" / "q172.txt").write_text("a picture of a quay\n")
    (theirs / "27613-h" / "100% of it").write_bytes(b"")
    bagit.make_bag(str(theirs), {"Contact-Name": "Ines"}, checksums=["sha256"])
    files = {str(each.relative_to(theirs)): each.read_bytes() for each in theirs.rglob("*") if each.is_file()}
    assert _problems(files) == []
    files["data/27613-h/images/q172.txt"] = b"a picture of a jetty\n"
    assert _problems(files) == ["data/27613-h/images/q172.txt was changed", *_problems(files)[1:]]


def test_a_bag_of_the_published_suite() -> None:
    """The manifest of v0.97/valid/basic-bag-sha256 of LibraryOfCongress/bagit-conformance-suite, and what it forbids."""
    bag = bagged({"text-file.txt": b"Tue, Jul 24, 2018  9:45:38 AM\n"}, {})
    line = b"1dd056f18456057df5e333e0dc894ff8e9d600817ae26ec89c49e37ad2d555d4  data/text-file.txt\n"
    assert bag["manifest-sha256.txt"] == line
    spaced = {**bag, "bagit.txt": b"BagIt-Version : 1.0\nTag-File-Character-Encoding : UTF-8\n"}
    assert "bagit.txt is not that of a bag of version 1.0" in _problems(spaced), "bagit-with-invalid-whitespace"
    assert _problems({**bag, "data/more": b""})[0] == "data/more is in no manifest"
    assert _problems({name: held for name, held in bag.items() if name != "data/text-file.txt"})
    assert b"data/a%0Ab%25c" in bagged({"a\nb%c": b""}, {})["manifest-sha256.txt"], "RFC 8493, 2.1.3"


def test_one_byte_changed_anywhere_is_found(sold_from_file: Sold) -> None:
    sold_from_file.write("p.zip", "--sign", "--pictures", "none")
    held = Path("p.zip").read_bytes()
    whole = _content(held)
    for place in range(0, len(held), 151):
        Path("bad.zip").write_bytes(held[:place] + bytes([held[place] ^ 0x15]) + held[place + 1 :])
        try:
            checked = check_passport(Path("bad.zip"))
        except Refused:
            continue
        assert not checked.ok or _content(Path("bad.zip").read_bytes()) == whole, place


def test_what_no_manifest_vouches_for_is_found(sold_from_file: Sold) -> None:
    """A page of somebody else's beside the data would be opened for the passport's, and its signature still fit."""
    sold_from_file.write("p.zip", "--sign", "--pictures", "none")
    bag = _content(Path("p.zip").read_bytes())
    tags = bag["tagmanifest-sha256.txt"]
    changed = {
        "part-history.html is no file of a passport": {**bag, "part-history.html": b"<h1>as new</h1>"},
        "fetch.txt is no file of a passport": {**bag, "fetch.txt": b""},
        "tagmanifest-sha256.txt is missing": {name: bag[name] for name in bag if not name.startswith("tagm")},
    }
    for says, files in changed.items():
        Path("bad.zip").write_bytes(zipped("bag", files))
        assert says in check_passport(Path("bad.zip")).problems
    Path("bad.zip").write_bytes(zipped("bag", {**bag, "tagmanifest-sha256.txt": tags.replace(b"\n", b"\x0b", 1)}))
    assert check_passport(Path("bad.zip")).problems, "only a line feed or carriage return ends a line"


def _content(held: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(held)) as opened:
        return {name.partition("/")[2]: opened.read(name) for name in opened.namelist()}


def test_three_things_are_kept_apart(sold_from_file: Sold, buyer: Shop) -> None:
    key = sold_from_file.write("p.zip", "--sign")["signed_by"]
    assert sold_from_file.shop.ok("passport", "key")["key"] == key
    assert buyer.ok("passport", "check", "p.zip")["signature"] == {"state": "fits", "key": key, "known_as": ""}
    buyer.ok("passport", "key", "trust", "Ines of the quay", key)
    assert buyer.ok("passport", "check", "p.zip")["signature"]["known_as"] == "Ines of the quay"
    assert [each["name"] for each in buyer.ok("passport", "key", "list")["keys"]] == ["Ines of the quay"]
    assert buyer.refused("passport", "key", "trust", "ines of the QUAY", "ab" * 32)["code"] == "key-of-another"
    told = buyer.run("passport", "check", "p.zip")
    assert "Said by others: 1" in told.out
    assert "no key can prove" in told.out

    bag = _content(Path("p.zip").read_bytes())
    del bag["signature-ed25519.txt"]
    unsigned = buyer_checks(buyer, "unsigned.zip", bag)
    assert unsigned == (0, "none", True), "without its signature it is whole, and anybody's"
    history = history_in("p.zip")
    history["facts"][-1]["says"] = "never dropped"
    payload = {name.removeprefix("data/"): held for name, held in bag.items() if name.startswith("data/")}
    payload["part-history.json"] = json.dumps(history).encode()
    forged = bagged(payload, {})
    signature = _content(Path("p.zip").read_bytes())["signature-ed25519.txt"]
    assert check_refused(buyer, "forged.zip", {**forged, "signature-ed25519.txt": signature}) == "not-a-passport"
    told = history_told(history)
    payload["part-history.json"] = json.dumps(told).encode()
    signed_anew = {**bagged(payload, {}), "signature-ed25519.txt": signature}
    assert buyer_checks(buyer, "anew.zip", signed_anew) == (1, "does not fit", True)
    assert buyer.refused("passport", "read", "anew.zip")["code"] == "passport-altered"
    assert buyer_checks(buyer, "cut.zip", {**bag, "data/part-history.html": b"<p>new</p>"})[::2] == (1, False)


def history_told(history: dict[str, object]) -> dict[str, object]:
    """A history with the fingerprint of what it says, as a forger would write it."""
    told = {name: value for name, value in history.items() if name not in ("fingerprint",)}
    bare = {k: v for k, v in told.items() if k not in ("number", "written_on", "entries", "anchor", "unverified")}
    return {**told, "fingerprint": hashlib.sha256(canonical(bare).encode()).hexdigest()}


def buyer_checks(buyer: Shop, file: str, files: dict[str, bytes]) -> tuple[int, str, bool]:
    Path(file).write_bytes(zipped("bag", files))
    said = buyer.run("passport", "check", file, "--json")
    return said.status, said.json["signature"]["state"], said.json["unaltered"]


def check_refused(buyer: Shop, file: str, files: dict[str, bytes]) -> str:
    Path(file).write_bytes(zipped("bag", files))
    return str(buyer.refused("passport", "check", file)["code"])


#: Samples of names that climb out of a folder, or mean different things on different computers.
NAMES = (
    "../../etc/cron.d/x", "bag/../../x", "/etc/passwd", "C:/x", "C:x", "..\\x", "bag/..\\..\\x", "\\\\host\\share\\x",
    "bag//x", "bag/./x", "bag/x\n", "bag/x.", "bag/con:stream", "bag/x\x00.txt",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_path_that_climbs_out_is_refused(name: str, tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "bad.zip", "w") as made:
        made.writestr("bag/bagit.txt", "")
        member = zipfile.ZipInfo("bag/placeholder")
        member.filename = member.orig_filename = name
        made.writestr(member, b"x")
    with pytest.raises(Refused) as refused, open_zip(tmp_path / "bad.zip"):
        pass
    assert refused.value.code in ("zip-not-safe", "not-a-passport")


def test_links_bombs_and_twins_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(**members: zipfile.ZipInfo | bytes) -> str:
        with zipfile.ZipFile(tmp_path / "bad.zip", "w", zipfile.ZIP_DEFLATED) as made:
            for name, held in members.items():
                info, content = (held, b"x") if isinstance(held, zipfile.ZipInfo) else (f"bag/{name}", held)
                made.writestr(info, content)
        with pytest.raises(Refused) as problem, open_zip(tmp_path / "bad.zip"):
            pass
        assert problem.value.code == "zip-not-safe"
        return problem.value.message

    link = zipfile.ZipInfo("bag/link")
    link.create_system, link.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
    assert "link" in refused(link=link)
    assert "100 times" in refused(bomb=bytes(2_000_000))
    assert "case" in refused(a=b"", A=b"")
    locked = zipfile.ZipInfo("bag/locked")
    with zipfile.ZipFile(tmp_path / "bad.zip", "w") as made:
        made.writestr(locked, b"x")
    held = bytearray((tmp_path / "bad.zip").read_bytes())
    held[held.index(b"PK\x01\x02") + 8] |= 1
    (tmp_path / "bad.zip").write_bytes(held)
    with pytest.raises(Refused, match="encrypted"), open_zip(tmp_path / "bad.zip"):
        pass
    monkeypatch.setattr("inventory.papers.passport.read_zip.MOST_FILES", 2)
    assert "more than 2" in refused(a=b"", b=b"", c=b"")
    monkeypatch.setattr("inventory.papers.passport.read_zip.ALL", 1_000_000)
    assert "would unpack to more than 1 MB" in refused(a=bytes(range(256)) * 3000, b=bytes(range(256)) * 3000)


def test_what_is_no_history_is_refused() -> None:
    for text in ("", "[]", '{"format": "other"}', '{"format": "matchmark part history 1"}', "[" * 100_000):
        with pytest.raises(Refused) as refused:
            history_from(text)
        assert refused.value.code == "not-a-passport"
    with pytest.raises(Refused) as newer:
        history_from('{"format": "matchmark part history 2"}')
    assert newer.value.code == "passport-is-newer"


def _forged(history: dict[str, Any], file: str) -> None:
    """A passport that says something else, with manifests and fingerprint that fit."""
    bag = _content(Path("p.zip").read_bytes())
    payload = {name.removeprefix("data/"): held for name, held in bag.items() if name.startswith("data/")}
    payload["part-history.json"] = json.dumps(history_told(history)).encode()
    Path(file).write_bytes(zipped("bag", bagged(payload, {})))


def test_kinds_not_known_and_values_that_cannot_be_are_said(sold_from_file: Sold, buyer: Shop) -> None:
    sold_from_file.write("p.zip")
    history = history_in("p.zip")
    fact = dict(history["facts"][0])
    odd = {"id": "halo-1", "kind": "halo", "word": "halo", "says": "round"}
    seal = {"id": "seal_sighting-9", "kind": "seal_sighting", "word": "seal", "says": "cap \x1b[31mred"}
    runs = {"id": "bench_run-9", "kind": "bench_run", "word": "run", "says": "?", "values": {"readings": 7}}
    later = {"id": "note-9", "kind": "note", "word": "note", "says": "soon", "values": {"text": "x"}}
    lost = {"id": "attachment-9", "kind": "attachment", "word": "attachment", "says": "a picture"}
    history["facts"] += [
        {**fact, **odd},
        {**fact, **seal, "values": {"seal": "cap", "state": "red"}},
        {**fact, **runs},
        {**fact, **later, "on": "2999-01-01"},
        {**fact, **lost, "values": {"document": "documents/none.jpg", "shows": "whole"}},
    ]
    _forged(history, "odd.zip")
    read = buyer.ok("passport", "read", "odd.zip")
    assert read["not_known"] == {"halo": 1}
    assert set(read["refused"]) == {"seal_sighting-9", "bench_run-9", "note-9", "attachment-9"}
    texts = [note["text"] for note in buyer.card(read["tag"])["notes"]]
    assert "seal: cap [31mred" in texts
    assert buyer.ok("verify")["problems"] == []

    buyer.part("relay")
    with open_record(buyer.target).read() as session:
        ours = identity_of_record(session)
    _forged({**history, "facts": [*history["facts"], fact]}, "twice.zip")
    assert buyer.refused("passport", "read", "twice.zip")["code"] == "not-a-passport", "one fact told twice"
    _forged({**history, "facts": [], "part": {**history["part"], "tag": "elsewhere", "serial": None}}, "none.zip")
    assert (buyer.run("passport", "read", "none.zip").out or "").startswith("It: nothing new")
    history["facts"].append({**fact, "record": ours, "id": "marking-2"})
    _forged(history, "two.zip")
    assert buyer.refused("passport", "read", "two.zip")["code"] == "passport-of-several"


def test_without_the_library_and_with_a_broken_key(
    sold_from_file: Sold, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    shop, tag = sold_from_file.shop, sold_from_file.tag
    sold_from_file.write("p.zip", "--sign")
    key = tmp_path / "data" / "matchmark" / "passport-key"
    assert key.stat().st_mode & 0o777 == 0o600
    key.write_text("none")
    sign = ("passport", "write", tag, "-o", "q.zip", "--sign")
    assert shop.refused(*sign)["code"] == "key-not-readable"
    monkeypatch.setitem(sys.modules, "cryptography.hazmat.primitives.asymmetric.ed25519", None)
    assert shop.refused(*sign)["code"] == "signatures-not-read"
    checked = shop.ok("passport", "check", "p.zip")
    assert (checked["ok"], checked["signature"]["state"]) == (True, "not checked")
