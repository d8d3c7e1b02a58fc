"""What an insurer's list says instead of names: roles; and which texts are asked about."""

from __future__ import annotations

import json
import time
import unicodedata
from pathlib import Path

import pytest

from inventory.condition_list.actions import FOR_INSURER, condition_list, give_out
from inventory.condition_list.roles import People, digest_of
from inventory.condition_list.values import Options
from inventory.errors import Refused
from inventory.people.actions import add_contact
from inventory.valuation import actions as worth
from tests.condition_list.workshop import BY, Workshop

PEOPLE = People(
    {"Marta Lindqvist": "hand 1", "Ulla Brandvesk": "customer A", "Ida": "contact 3", "田中太郎": "contact 4"},
    {"Ebbgate 4, 12 Skerrowmouth": "(address)"},
)


UMLAUT = People({"Herbert Grünwald": "contact 1", "Sven Moeller": "contact 2", "Joe": "contact 3"}, {})


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        (unicodedata.normalize("NFD", "from Herbert Grünwald, paid"), "from contact 1, paid"),
        ("Herbert Grün\u00adwald", "contact 1"),
        ("Herbert Gr\u200bünwald", "contact 1"),
        ("invoice_Herbert_Grünwald_2024.pdf", "invoice_contact 1_2024.pdf"),
        ("sold to Herbert Grün-\nwald in May", "sold to contact 1 in May"),
        ("Her-\n  bert\nGrünwald", "contact 1"),
        ("Herbert-\nGrünwald", "contact 1"),
        ("HERBERT GRUENWALD", "contact 1"),
        ("by Sven Möller", "by contact 2"),
        ("Herbert Grünwalds Werkstatt", "contact 1 Werkstatt"),
        ("Grünwald, Herbert", "contact 1"),
        ("left-\nhand side, jo, Grünwald", "left-\nhand side, jo, Grünwald"),
    ],
)
def test_names_are_found_however_they_are_written(text: str, cut: str) -> None:
    assert UMLAUT.cut(text) == cut


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("from M. Lindqvist", "from M. Lindqvist"),
        ("MARTA  Líndqvist's bench", "hand 1's bench"),
        ("Marta said, Lindqvist too", "Marta said, Lindqvist too"),
        ("at ebbgate 4 12 skerrowmouth, Ulla Brandvesk.", "at (address), customer A."),
        ("a holiday in Idaho", "a holiday in Idaho"),
        ("田中太郎様より", "contact 4様より"),
        ("ida", "contact 3"),
    ],
)
def test_whole_names_and_addresses_are_found_in_any_case_and_without_accents(text: str, cut: str) -> None:
    assert PEOPLE.cut(text) == cut


def test_many_texts_are_searched_for_many_names_quickly() -> None:
    people = People({f"Name{number} Family{number}": f"contact {number}" for number in range(500)}, {})
    started = time.perf_counter()
    found = sum(people.cut(f"bought of Name{n % 900} Family{n % 900} with words {n}")[:19] != "" for n in range(10_000))

    assert found == 10_000
    assert time.perf_counter() - started < 2


def test_an_insurers_list_has_roles_and_no_shelf_and_names_in_texts_are_decided(
    workshop: Workshop, tmp_path: Path
) -> None:
    with workshop.record.write() as session:
        add_contact(session, BY, "Tove Askelund", address="Ebbgate 4")
        worth.note_value(
            session, BY, workshop.tags["ours"], "860", "EUR", basis="market", source="tove askelund's word"
        )
    with workshop.record.read() as session:
        owners, insurers = condition_list(session), condition_list(session, options=FOR_INSURER)
    text = json.dumps(insurers.as_dict())

    assert {item.last_seen.when.by for item in owners.items if item.last_seen} == {BY}
    assert {item.last_seen.when.by for item in insurers.items if item.last_seen} == {"hand 1"}
    assert not any(name in text for name in (BY, "skelund", "shelf B2", "Gribbling", "Brandvesk"))
    assert "Ebbgate Works" in text
    assert [(each.tag, each.column) for each in insurers.named] == [(workshop.tags["ours"], "source")]
    with pytest.raises(Refused) as refusal:
        give_out(workshop.record, BY, tmp_path / "a.json", options=FOR_INSURER)
    assert (refusal.value.code, refusal.value.where) == ("names-in-texts", "source")

    asked: list[str] = []

    def keep(named: tuple) -> tuple[str, ...]:
        asked.extend(each.text for each in named)
        return tuple(digest_of(each.text) for each in named)

    cut = give_out(workshop.record, BY, tmp_path / "b.json", options=Options("insurer", "cut"))
    kept = give_out(workshop.record, BY, tmp_path / "c.json", options=FOR_INSURER, decide=keep)
    assert asked == ["tove askelund's word"]
    assert cut.fingerprint == insurers.fingerprint != kept.fingerprint
    assert "askelund" in (tmp_path / "c.json").read_text()
    assert "askelund" not in (tmp_path / "b.json").read_text()
    assert (cut.options.names, kept.options.names) == ("cut", "keep")
