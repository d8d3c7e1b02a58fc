"""Nothing of a name reaches the terminal that it would obey, whoever put it into the record; JSON escapes it."""

from __future__ import annotations

import json
import re
import sqlite3

from inventory.store.words.text import UNSHOWN, clean, printable
from tests.cli.conftest import Shop

#: Escape sequences, a bell, C1, returns; marks of direction (Unicode, UAX 9); zero width; a tag.
HOSTILE = "\x1b[2J\x1b]0;title\x07\x9b31m\r\u202e\u2066\u061c\u200b\u200d\u2060\ufeff\U000e0041"
#: Columns of free text that commands show.
INJECTED = ("marking.maker", "part.maker", "part.serial", "note.text", "car_description.name", "place_description.name", "personal.text",
            "work.what", "document.file_name", "provenance.text", "valuation.source")  # fmt: skip
COMMANDS = ("part find", "part show {}", "fact list {}", "car list", "place list", "contact list", "contradictions --all", "verify",
            "value due", "document get nothing", "part show ZZ", "sheet read missing.csv")  # fmt: skip


def test_no_command_shows_what_a_terminal_obeys(file_shop: Shop) -> None:
    shop = file_shop
    shop.stripping()
    tag = shop.part("relay", maker="Ostrell", serial="71-5")
    shop.ok("part", "note", tag, "clicks")
    shop.ok("place", "add", "B2")
    shop.ok("work", "log", tag, "--what", "cleaned", "--where", "outside")
    shop.ok("value", "note", tag, "--amount", "5", "--currency", "EUR", "--source", "a sale")
    shop.ok(
        "provenance", "note", tag, "--how", "bought", "--party", "Marta Lindqvist", "--text", "with a hose", "--new"
    )
    with sqlite3.connect(shop.target) as held:
        for each in INJECTED:
            table, _, column = each.partition(".")
            held.execute(f"UPDATE {table} SET {column} = {column} || ? WHERE {column} IS NOT NULL", (HOSTILE,))
    for words in COMMANDS:
        said = shop.run(*words.format(tag).split())
        assert said.status in (0, 1, 3), said.err
        assert not UNSHOWN.search(said.out + said.err), words
        told = shop.run(*words.format(tag).split(), "--json")
        assert not UNSHOWN.search(told.out), words
        json.loads(told.out)
    assert HOSTILE in json.loads(shop.run("part", "show", tag, "--json").out)["maker"]  # JSON keeps it, escaped


def test_a_typed_name_makes_no_line_of_its_own(shop: Shop) -> None:
    tag = shop.part("relay")
    for words in (["sheet", "write", "a\nAll is well.csv"], ["labels", tag, "-o", "b\nAll is well.pdf"],
                  ["document", "add", tag, "c\r\nAll is well"], ["place", "add", "d\nAll is well"], ["--by=e\nAll is well", "part", "find"]):  # fmt: skip
        said = shop.run(*words)
        assert not re.search("^All is well", said.out + said.err, re.MULTILINE), words


def test_what_is_left_out_is_what_has_no_place_on_a_line() -> None:
    assert printable(f"a{HOSTILE}b\n\tc") == "a[2J]0;title31mb\n\tc"
    assert printable("Größe ½″ 日本語 שלום") == "Größe ½″ 日本語 שלום"
    assert clean("a\r\nb\nc\td") == "a b c d"
