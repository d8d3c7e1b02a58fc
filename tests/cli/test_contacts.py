"""What is written of people is corrected and removed, and is in nothing that is hashed."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from inventory.opening import open_record
from inventory.store.tables import JournalEntry
from tests.cli.conftest import Shop


@pytest.fixture
def petra(shop: Shop) -> Shop:
    """A workshop that knows one person."""
    shop.ok("contact", "add", "Petra", "--role", "seller", "--address", "Quay 9", "--telephone", "555 0100")
    return shop


def described(shop: Shop, name: str = "Petra") -> dict[str, str]:
    """What is written of a person now."""
    (found,) = [contact for contact in shop.ok("contact", "list")["contacts"] if contact["name"] == name]
    return dict(found)


@pytest.mark.parametrize(
    ("change", "name", "now"),
    [
        ("role=specialist", "role", "specialist"),
        ("telephone=555 0199", "telephone", "555 0199"),
        ("address=Quay 10", "address", "Quay 10"),
        ("Telephone=", "telephone", None),
    ],
)
def test_a_person_is_corrected(petra: Shop, change: str, name: str, now: str | None) -> None:
    before = described(petra)

    anew = petra.ok("fact", "correct", before["fact"], "--set", change, "--reason", "misheard")["fact"]

    assert described(petra) == {**before, name: now, "fact": anew}
    assert petra.ok("verify")["ok"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ("telephone=555 0100", "nothing-to-correct"),
        ("role=seller", "nothing-to-correct"),
        ("role=hand", "role-of-a-hand"),
        ("name=Petra B", "unknown-value-to-correct"),
        ("blanked=yes", "unknown-value-to-correct"),
        ("name_digest=0", "unknown-value-to-correct"),
        ("on=2999-01-01", None),
    ],
)
def test_what_cannot_be_corrected_of_a_person_is_refused(petra: Shop, change: str, code: str | None) -> None:
    error = petra.refused("fact", "correct", described(petra)["fact"], "--set", change, "--reason", "why")

    assert code in (None, error["code"])
    assert petra.ok("verify")["ok"]


def test_whoever_writes_stays_a_hand(petra: Shop) -> None:
    fact = described(petra, "Ines")["fact"]

    assert petra.refused("fact", "correct", fact, "--set", "role=seller", "--reason", "x")["code"] == "role-of-a-hand"
    petra.ok("fact", "correct", fact, "--set", "telephone=555 0111", "--reason", "new")
    assert described(petra, "Ines")["telephone"] == "555 0111"


def test_what_was_corrected_of_a_person_is_not_in_the_journal_and_goes_with_the_person(petra: Shop) -> None:
    anew = petra.ok("fact", "correct", described(petra)["fact"], "--set", "telephone=555 0199", "--reason", "misheard")[
        "fact"
    ]
    record = open_record(petra.target)
    with record.read() as session:
        images = "".join(session.scalars(select(JournalEntry.images)))
    record.close()
    assert "555 0" not in images  # the blank keeps a hash from holding it by chance
    assert "Petra" not in images

    petra.ok("contact", "blank", "Petra", "--reason", "asked for it")

    left = [contact for contact in petra.ok("contact", "list")["contacts"] if contact["role"] == "seller"]
    assert [(each["name"], each["telephone"]) for each in left] == [("(name removed)", "(name removed)")]
    assert petra.refused("fact", "correct", anew, "--set", "telephone=1", "--reason", "x")["code"] == "person-removed"
    assert petra.ok("verify")["ok"]


def test_lists_of_people_name_the_fact_to_correct(petra: Shop) -> None:
    assert f"{described(petra)['fact']}  Petra, seller" in petra.text("contact", "list").splitlines()


@pytest.mark.parametrize("words", [["fact", "list"], ["bench", "history"]], ids=" ".join)
def test_the_first_line_says_which_part_it_is(shop: Shop, words: list[str]) -> None:
    whole = shop.part(maker="Ostrell", part_number="HV 204 118", serial="71-40822")
    bare = shop.part("relay")

    assert shop.text(*words, whole).splitlines()[0] == f"{whole}  pressure sensor Ostrell HV 204 118, serial 71-40822"
    assert shop.text(*words, bare).splitlines()[0] == f"{bare}  relay, no serial read"
