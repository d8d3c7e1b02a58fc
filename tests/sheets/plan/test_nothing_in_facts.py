"""Sheets of facts: words for nothing are no seal, no person and no part, in the language of the sheet."""

from __future__ import annotations

from inventory.parts.markings import Markings
from tests.build import make_part
from tests.sheets.conftest import Desk

RELAY = Markings("relay", "Ostrell", "HV 7", "71-40822")


def test_words_for_nothing_fill_no_name_and_name_no_part(desk: Desk) -> None:
    make_part(desk.record, RELAY)
    path = desk.book(
        provenance=[
            ["Etikett", "Hersteller", "Teilenummer", "Seriennummer", "how", "party", "price", "price currency"],
            ["", "unbekannt", "HV 7", "71-40822", "bought", "s.o.", "k.A.", ""],
        ],
    )

    report = desk.read(path)

    assert (report.added, report.refused) == (1, 0)
    (came,) = desk.card().as_dict()["provenance"]
    assert (came["party"], came["price"]) == (None, None)
    said = "\n".join(report.remarks)
    assert 'party: "s.o." means as above, so it is left empty' in said, "German headings: siehe oben"
    assert 'maker: "unbekannt" means not known' in said


def test_a_seal_is_never_named_ditto(desk: Desk) -> None:
    tag = make_part(desk.record)
    path = desk.book(seals=[["tag", "seal", "state"], [tag, "ditto", "intact"]])

    (problem,) = desk.refused(path).report.problems

    assert (problem.column, problem.problem) == ("seal", "is needed here")


def test_a_serial_alone_that_is_on_record_gets_a_hint(desk: Desk) -> None:
    tag = make_part(desk.record, RELAY)
    path = desk.book(seals=[["serial", "seal", "state"], ["71-40822", "label", "intact"]])

    (problem,) = desk.refused(path).report.problems

    assert problem.hint == f"{tag} has this serial: write the tag, or maker and part number as well"
