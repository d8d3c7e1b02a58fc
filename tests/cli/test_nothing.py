"""Words for nothing at every door: no letter, no serial, no maker, no place, no name; and every odd text passes every view."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from inventory.cars import actions as cars
from inventory.cars.queries import cars as cars_on_record
from inventory.errors import Refused
from inventory.evidence.actions import note_claim
from inventory.parts.actions import add_part, describe
from inventory.parts.markings import Markings
from inventory.people.actions import add_contact
from inventory.people.queries import names_of_contacts
from inventory.places import actions as places
from inventory.places.queries import places as places_on_record
from inventory.provenance.actions import note_provenance
from inventory.seals.actions import note_seal
from inventory.store.record import Record
from inventory.store.words.nothing import _DOUBTFUL as DOUBTFUL
from inventory.store.words.nothing import _WORDS as WORDS
from inventory.store.words.nothing import nothing_in
from tests.cli.conftest import Shop

ODD = [
    "-",
    "?",
    "n/d",
    "k.A.",
    '"',
    "//",
    "s.o.",
    "yes",
    "K or",
    "or",
    "O or Q",
    "O/Q?",
    "[A2]",
    "[/]",
    "%",
    "' OR 1=1",
    "Ω",
    "🂡",
    "K" * 300,
]


@pytest.mark.parametrize(
    ("word", "state", "says"),
    [
        ("unbekannt", "not looked at", "means not known"),
        ("UNKNOWN", "not looked at", "means not known"),
        ("illisible", "unreadable", "means not legible"),
        ("néant", "never fitted", "means none"),
        ("dito", None, "means as above, so no letter is recorded"),
        ("oui", None, "is no letter"),
    ],
)
def test_a_word_for_nothing_is_no_letter(shop: Shop, word: str, state: str | None, says: str) -> None:
    added = shop.run("part", "add", "--kind", "pressure sensor", "--match-code", word)
    tag = shop.found()[-1]

    card = shop.card(tag)
    assert (card["match_code"], card["match_code_state"]) == (None, state)
    assert says in added.err


def test_a_doubtful_word_stays_as_written_is_flagged_and_is_no_letter(shop: Shop) -> None:
    for kind, number in (("pressure sensor", "HV 204 118"), ("control unit", "HV 310 002")):
        said = shop.run("part", "add", "--kind", kind, "--part-number", number, "--match-code", "s.o.")
        assert '"s.o." is kept as written but is no letter' in said.err
    shop.ok("fits", "add", "HV 204 118", "HV 310 002")

    assert "match code: s.o., as written, no letter" in shop.text("part", "show", shop.found()[0])
    (pair,) = shop.ok("pairs")["pairs"]
    assert pair["grade"] == "possible"


def test_not_known_replaces_no_letter_on_record(shop: Shop) -> None:
    tag = shop.part(match_code="K")

    shop.refused("part", "describe", tag, "--match-code", "unknown")
    shop.ok("part", "describe", tag, "--match-code", "unknown", "--maker", "Ostrell")

    assert shop.card(tag)["match_code"] == "K"


def test_serial_maker_and_number_are_left_empty_and_it_is_said(shop: Shop) -> None:
    words = ("--serial", "k.A.", "--maker", "none", "--part-number", "dito", "--date-code", "-")
    said = shop.run("part", "add", "--kind", "relay", *words)

    card = shop.card(shop.found()[-1])
    assert [card[name] for name in ("serial", "maker", "part_number", "date_code")] == [None] * 4
    assert 'serial: "k.A." means not known, so it is left empty' in said.err


@pytest.mark.parametrize("word", ["unbekannt", "none", "dito", "-"])
def test_no_name_is_made_of_them(shop: Shop, word: str) -> None:
    tag = shop.part()
    for command in (
        ("car", "add", word),
        ("place", "add", word),
        ("contact", "add", word),
        ("place", "put", tag, word),
        ("fits", "add", word, "HV 310 002"),
        ("seal", "note", tag, "--seal", word, "--state", "intact"),
        ("provenance", "note", tag, "--how", "bought", "--party", word),
        ("fact", "add", "provenance", tag, "--set", "how=bought", "--set", f"party={word}"),
    ):
        shop.refused(*command)


def test_a_correction_to_a_word_for_nothing_is_no_letter(shop: Shop) -> None:
    tag = shop.part(match_code="K", serial="71-1")
    (marking,) = (fact["id"] for fact in shop.card(tag)["markings"])

    said = shop.run("fact", "correct", marking, "--set", "match code=keine", "--set", "serial=unknown", "--reason", "r")

    card = shop.card(tag)
    assert (card["match_code"], card["match_code_state"], card["serial"]) == (None, "never fitted", None)
    assert "recorded as never fitted" in said.err


def test_a_sheet_leaves_them_empty_and_says_so(shop: Shop, tmp_path: Path) -> None:
    sheet = tmp_path / "teile.csv"
    sheet.write_text(
        "Art;Hersteller;Seriennummer;Kennbuchstabe;Lagerort;Preis\n"
        "Steuergerät;unbekannt;k.A.;unbekannt;ohne;k.A.\n"
        'Drucksensor;dito;"""";s.o.;//;\n'
        "Drucksensor;Ostrell;71-2;K;B4;\n",
        encoding="utf-8",
    )

    read = shop.run(
        "sheet",
        "read",
        str(sheet),
        "--map",
        "Kennbuchstabe=match code",
        "--map",
        "Lagerort=place",
        "--map",
        "Preis=price",
    )

    assert read.status == 0, read.err
    cards = [shop.card(tag) for tag in shop.found()]
    assert sorted(str(card["match_code"]) for card in cards) == ["K", "None", "None"]
    assert sorted(str(card["serial"]) for card in cards) == ["71-2", "None", "None"]
    assert sorted(str(card["maker"]) for card in cards) == ["None", "None", "Ostrell"]
    assert sorted(str(card["place"]) for card in cards) == ["B4", "None", "None"]
    assert 'serial: "k.A." means not known, so it is left empty' in read.out + read.err


def test_any_text_as_code_number_or_serial_passes_every_view(shop: Shop, tmp_path: Path) -> None:
    tags = [
        shop.part(kind=kind, match_code=text, part_number=text, serial=text)
        for text in ODD
        for kind in ("pressure sensor", "control unit")
    ]
    price = ("--price", "1", "--currency", "EUR", "--worth", "2")
    for command in (
        *((*words, tag) for tag in tags for words in (("part", "show"), ("evidence",), ("fact", "list"))),
        *(("part", "find", text) for text in ODD),
        *(("appraise", "--kind", "pressure sensor", "--part-number", text, *price) for text in ODD),
        ("pairs",),
        ("pairs", "--all"),
        ("pairs", "plan"),
        ("pairs", "set", "injector", "--size", "2"),
        ("pairs", "offer", str(tmp_path / "offer.json")),
        ("condition-list", "-o", str(tmp_path / "list.xlsx")),
        ("sheet", "write", str(tmp_path / "all.xlsx")),
        ("verify",),
    ):
        said = shop.run(*command)
        assert said.status in (0, 3), (command, said.err)
        assert "broke" not in said.err


def test_a_tag_that_is_not_known_is_empty_and_ditto_fills_none(shop: Shop, tmp_path: Path) -> None:
    sheet = tmp_path / "parts.csv"
    sheet.write_text("tag,kind,serial\nk.A.,relay,71-1\n", encoding="utf-8")
    assert shop.ok("sheet", "read", str(sheet))["added"] == 1

    sheet.write_text("tag,kind,serial\nditto,relay,71-2\n", encoding="utf-8")
    assert shop.ok("sheet", "read", str(sheet), status=3)["refused"] == 1


def test_not_known_in_a_sheet_replaces_no_letter_on_record(shop: Shop, tmp_path: Path) -> None:
    tag = shop.part(match_code="K", serial="71-9")
    sheet = tmp_path / "parts.csv"
    sheet.write_text("kind,serial,match code\npressure sensor,71-9,unknown\n", encoding="utf-8")

    assert shop.ok("sheet", "read", str(sheet))["unchanged"] == 1
    assert shop.card(tag)["match_code"] == "K"


def test_a_correction_to_ditto_is_refused_since_it_would_take_the_value_away(shop: Shop) -> None:
    tag = shop.part(match_code="K", serial="71-1")
    (marking,) = (fact["id"] for fact in shop.card(tag)["markings"])
    for change in ("match code=ditto", "match code=ja", "serial=wie oben", "maker=//"):
        error = shop.refused("fact", "correct", marking, "--set", change, "--reason", "r")
        assert error["code"] == "as-above"

    assert (shop.card(tag)["match_code"], shop.card(tag)["serial"]) == ("K", "71-1")


def test_not_looked_at_replaces_no_letter_at_any_command(shop: Shop) -> None:
    shop.stripping()
    state = ("--match-code-state", "not looked at")
    tag = shop.part(match_code="K")

    error = shop.refused("part", "describe", tag, *state)
    assert error["hint"] == "match code: not looked at is no look, so what is on record stays"
    said = shop.run("part", "describe", tag, *state, "--maker", "Ostrell")
    assert "is no look" in said.err
    shop.ok("fact", "add", "marking", tag, "--set", "match code state=not looked at", "--set", "marks=paint")
    shop.ok("teardown", "log", "--tag", tag, *state, "--override", "it was on this car")
    assert (shop.card(tag)["match_code"], shop.card(tag)["match_code_state"]) == ("K", "read")


def test_a_doubtful_letter_is_asked_about_at_a_terminal(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    said = "".join(
        shop.answering(monkeypatch, f"{answer}\n9\n1\n", "part", "add", "--kind", "contrl unit", "--match-code", "s.o.")
        for answer in (1, 2, 3, 4)
    )

    assert said.count('The match code "s.o." is no letter; what does it mean?') == 4, "asked once for each command"
    assert said.count("Type a number from 1 to 2.") == 4
    cards = [shop.card(tag) for tag in shop.found("control")]
    found = {(card["match_code"], card["match_code_state"]) for card in cards}
    assert found == {(None, "not looked at"), (None, "never fitted"), (None, None), ("s.o.", "read")}


def test_no_word_for_nothing_becomes_a_name_or_a_maker_in_any_language(record: Record) -> None:
    words = [word for languages in WORDS.values() for some in languages.values() for word in some]
    words = [
        word for word in (*words, *DOUBTFUL, "?", "-", "//", '"', "(unbekannt)") if nothing_in(word) != "an answer"
    ]
    with record.write() as session:
        cars.add_car(session, "Ines", "Green tourer")
        tag = add_part(session, "Ines", Markings("relay"))
    for word in words:
        with record.write() as session:
            for made in (
                partial(cars.add_car, session, "Ines", word),
                partial(cars.list_position, session, "Ines", "Green tourer", word, cars.Listing()),
                partial(places.add_place, session, "Ines", word),
                partial(add_contact, session, "Ines", word),
                partial(note_provenance, session, "Ines", tag, "bought", party=word),
                partial(note_claim, session, "Ines", tag, "tested", by_whom=word),
                partial(note_seal, session, "Ines", tag, word, "intact"),
            ):
                with pytest.raises(Refused):
                    made()
            describe(session, "Ines", tag, Markings(maker=word, part_number=word, serial=word, marks=word))
            session.rollback()
    with record.write() as session:
        listing = cars.Listing(maker=words[0], part_number=words[1])
        cars.list_position(session, "Ines", "Green tourer", "inner wing", listing)
        cars.add_car(session, "Ines", "Blue coupe", maker=words[2], chassis=words[3], note=words[0])
    with record.read() as session:
        assert [each.name for each in cars_on_record(session)] == ["Blue coupe", "Green tourer"]
        blue = cars_on_record(session)[0]
        assert (blue.maker, blue.chassis, blue.note) == (None, None, words[0])
        assert (places_on_record(session), list(names_of_contacts(session))) == ([], [])
