"""Whatever is typed, nothing ends in a traceback, JSON stays JSON, and text comes back as it was cleaned."""

from __future__ import annotations

import json
import unicodedata

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import clean, fold
from tests.cli.conftest import Said, Shop, sentence_for_people

NASTY = [
    "[/] left", "[bold red]x[/bold red]", "[A2-70] bolt", "{0} %s %(x)s ${HOME}", "\x1b[31mred\x1b[0m", "\x9b2J", "\x00",
    "a\x00b", "\ud800", "x\udcff\udc80y", "'; DROP TABLE part; --", '"quoted" \'text\'', "\\", "\\N", "%", "_", "*", "=1+1",
    "ab\u202edc\u202c", "\u200b", "\ufeffbom", "שלום", "مرحبا", "日本語テキスト", "🔧👩\u200d🔧🇩🇪", "e\u0301", "ﬁne", "ǅ", "İstanbul", "ß",
    "\ufdfa" * 5, "tab\tline\nreturn\r\n", "null", "NaN", "0012", "1E5", "-", "--", "...", "\u2028\u2029", "\u0345", "x" * 5000,
    "\U0010ffff", "\uffff", "K4127-7",
]  # fmt: skip
TEXT = st.one_of(st.sampled_from(NASTY), st.text(max_size=60), st.text(alphabet=st.characters(), max_size=20))
EXAMPLES = settings(
    max_examples=6,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    phases=[Phase.explicit, Phase.reuse, Phase.generate, Phase.shrink],
)


def heard(said: Said) -> None:
    """Hold one answer with --json to its form, whatever came of it."""
    assert said.status in (0, 2, 3), said.err
    assert isinstance(json.loads(said.out), dict)
    assert not _controls(said.err.replace("\n", ""))
    if said.status:
        assert set(json.loads(said.out)) == {"error"}
        sentence_for_people(said.err.replace("\\", "/"))
    said.out.encode("utf-8")


def _controls(text: str) -> list[str]:
    return [each for each in text if unicodedata.category(each) in ("Cc", "Cs")]


@EXAMPLES
@given(text=TEXT)
def test_text_comes_back_as_it_was_cleaned(shop: Shop, text: str) -> None:
    tag = shop.part("relay")
    wanted = clean(text)
    assert not _controls(wanted)
    for words, section, name in (
        (["part", "note", tag, "--", text], "notes", "text"),
        (["work", "log", tag, f"--what={text}", f"--product={text}"], "work", "what"),
        (["part", "assess", tag, f"--damage={text}"], "assessments", "damage"),
        (["provenance", "note", tag, "--how", "bought", f"--text={text}"], "provenance", "text"),
        (["value", "note", tag, "--amount", "1", "--currency", "EUR", f"--source={text}"], "values", "source"),
    ):
        said = shop.run(words[0], words[1], "--json", *words[2:])
        heard(said)
        kept = [fact[name] for fact in shop.card(tag)[section]]
        assert kept == ([] if said.status else [wanted or None])
    assert not _controls(shop.text("part", "show", tag).replace("\n", ""))


def test_each_nasty_text_comes_back_and_is_found(shop: Shop) -> None:
    tag = shop.part("relay")
    for text in NASTY:
        heard(shop.run("part", "note", tag, "--json", "--", text))
        found = shop.run("part", "find", "--json", "--", text)
        heard(found)
        if len(fold(text)) > 2:
            assert [part["tag"] for part in found.json["parts"]] == [tag], text
    assert [note["text"] for note in shop.card(tag)["notes"]] == [clean(text) for text in NASTY if clean(text)]
    assert not _controls(shop.text("part", "show", tag).replace("\n", ""))


@EXAMPLES
@given(text=TEXT)
def test_markings_come_back_and_are_found(shop: Shop, text: str) -> None:
    wanted = clean(text)
    names = ("maker", "part-number", "serial", "date-code", "match-code", "marks")
    said = shop.run("part", "add", "--kind", "relay", "--json", *(f"--{name}={text}" for name in names))
    heard(said)
    if said.status:
        assert said.json["error"]["code"] == "too-long"
        return
    tag = said.json["tag"]
    card = shop.card(tag)
    kept = {card[name.replace("-", "_")] for name in names}
    if nothing_in(text) is not None:  # a word for nothing: only marks, and a letter that is none, stay as written
        assert kept <= {wanted, None}
        return
    assert kept == {wanted or None}
    found = shop.run("part", "find", "--json", "--", text)
    heard(found)
    if len(fold(text)) > 0:
        assert tag in [part["tag"] for part in found.json["parts"]]


@EXAMPLES
@given(first=TEXT, second=TEXT)
def test_any_words_search_without_harm(shop: Shop, first: str, second: str) -> None:
    heard(shop.run("part", "find", "--json", "--", first, second))
    assert shop.run("part", "find", "--", first).status == 0


@EXAMPLES
@given(text=TEXT)
def test_names_of_cars_positions_places_and_people(shop: Shop, text: str) -> None:
    made = [
        shop.run("car", "add", "--json", "--maker", "x", f"--note={text}", "--", text),
        shop.run("place", "add", "--json", f"--premises={text}", "--", text),
        shop.run("contact", "add", "--json", f"--address={text}", f"--telephone={text}", "--", text),
    ]
    for said in made:
        heard(said)
    if made[0].status == 0:
        assert made[0].json["car"]["name"] == clean(text)
        heard(shop.run("car", "position", "--json", f"--fasteners={text}", f"--mounts={text}", "--", text, text))
        heard(shop.run("car", "insure", "--json", f"--policy={text}", "--", text))
        begun = shop.run("teardown", "begin", "--json", f"--care={text}", "--", text)
        heard(begun)
        assert begun.json["car"] == clean(text)
        logged = shop.run("teardown", "log", "--kind=relay", f"--car={text}", f"--position={text}", f"--fastener={text}",
                          f"--bag={text}", f"--car-side={text}", f"--seal={text}=intact", "--json")  # fmt: skip
        heard(logged)
        heard(shop.run("teardown", "status", f"--car={text}", "--json"))
        heard(shop.run("car", "show", "--json", "--", text))
        assert shop.run("car", "list").status == 0
        heard(shop.run("teardown", "close", f"--car={text}", "--json"))


@EXAMPLES
@given(text=TEXT)
def test_any_word_where_a_known_one_is_wanted(shop: Shop, text: str) -> None:
    assume(text.strip().casefold() != "text")  # the one value that a note has
    tag = shop.part("pressure sensor")
    shop.ok("part", "note", tag, "seen")
    before = shop.entries()
    for words in (
        ["part", "show", "--json", "--", text],
        ["part", "add", "--json", f"--kind={text}"],
        ["part", "note", "--json", tag, "seen", f"--on={text}x"],
        ["part", "describe", "--json", tag, f"--match-code-state={text}!"],
        ["seal", "note", "--json", tag, "--seal", "cap", f"--state={text}!"],
        ["bench", "run", "--json", f"--reading={text}", f"--volume={text}", "--", "hold", tag],
        ["bench", "run", "--json", "--reading=primary=9ohm", f"--meter={text}!", "--", "resistance", tag],
        ["value", "note", "--json", tag, f"--amount={text}!", "--currency=EUR"],
        ["value", "note", "--json", tag, "--amount=1", f"--currency={text}!"],
        ["provenance", "note", "--json", tag, f"--how={text}!"],
        ["place", "put", "--json", "--", tag, text],
        ["fact", "withdraw", "--json", "--reason=why", "--", text],
        ["fact", "correct", "--json", f"--set={text}=x", "--reason=why", "note-1"],
        ["refit", "fit", "--json", tag, f"--car={text}", "--position=wing"],
        ["pairs", "plan", "--json", f"--place={text}"],
        ["document", "add", "--json", tag, f"{text.replace(chr(0), '')}.none"],
    ):
        said = shop.run(*words)
        heard(said)
        assert said.status in (2, 3), words
    assert shop.entries() == before


@EXAMPLES
@given(text=TEXT)
def test_any_name_of_who_works(shop: Shop, text: str) -> None:
    tag = shop.part("relay")
    said = shop.run("part", "note", tag, "seen", f"--by={text}", "--json")
    heard(said)
    if said.status == 0:
        hand = shop.card(tag)["notes"][0]["by"]
        assert fold(hand) == fold(clean(text) or ("Ines" if not text else "unknown"))


@pytest.mark.parametrize("length", [2_000, 60_000])
def test_very_long_text(shop: Shop, length: int) -> None:
    import random

    text = "".join(random.Random(7).choices("abcdefghijklmnop 0123456789é漢", k=length))
    tag = shop.part("relay")
    shop.ok("part", "note", tag, text)
    assert shop.card(tag)["notes"][0]["text"] == clean(text)
    assert shop.found(text[100:180]) == [tag]
    assert shop.found(text) == [tag]
    for words in (
        ["part", "add", "--kind", "relay", "--serial", text],
        ["part", "add", "--kind", "relay", "--part-number", text],
        ["car", "add", text],
        ["place", "add", text],
        ["contact", "add", text],
        ["contact", "add", "Petra", "--address", text],
        ["part", "note", tag, "seen", "--by", text],
        ["fits", "add", text, "B1"],
    ):
        assert shop.refused(*words)["code"] == "too-long"
