"""Offers that were seen, and the list of stolen parts: by command, on both engines."""

from __future__ import annotations

from typing import Any

OFFER = ("appraise", "--kind", "pressure sensor", "--part-number", "HV 204 118", "--currency", "EUR", "--worth", "850")


def test_an_offer_is_kept_with_what_was_told_answered_and_paid(shop: Any) -> None:
    before = shop.entries()
    shop.ok(*OFFER, "--price", "300", "--serial", "71-40822")
    assert shop.entries() == before, "without --keep nothing is written"

    told = ("--claim", "tested", "--seal", "cap=intact", "--match-code", "K", "--seller", "Ilvar Teske")
    kept = shop.ok(*OFFER, "--price", "280", "--serial", "71-40822", *told, "--keep")["kept"]
    shop.ok("offers", "answer", kept, "held 48 after 10 s")
    shop.ok("offers", "bought", kept, "--paid", "260")

    (offer,) = shop.ok("offers", "list")["offers"]
    assert (offer["price"], offer["paid"], offer["outcome"]) == ("280", "260", "bought")
    assert offer["claims"] == "tested; seal cap=intact" and offer["match_code"] == "K"
    assert offer["answered"] == "held 48 after 10 s" and offer["seller"] == "Ilvar Teske"
    assert shop.ok("offers", "show", kept.removeprefix("offer_seen-"))["id"] == offer["id"]
    assert shop.ok("offers", "list", "--open")["offers"] == []
    shop.ok("offers", "not-bought", kept)
    assert [(each["outcome"], each["paid"]) for each in shop.ok("offers", "list")["offers"]] == [("not bought", None)]
    assert "part number: HV 204 118" in shop.text("offers", "show", kept)
    assert shop.refused("offers", "bought", kept, "--paid", "2.345")["code"] == "too-many-decimals"
    assert shop.refused("offers", "show", "9")["code"] == "no-such-offer"


def test_a_serial_offered_again_ours_or_listed_as_stolen_is_said(shop: Any) -> None:
    shop.ok(*OFFER, "--price", "280", "--serial", "71-40822", "--keep")
    ours = shop.part(part_number="HV 204 118", serial="7140-822", date_code="24/71")
    shop.ok("stolen", "add", "--serial", "71 40822", "--reference", "OR-88/204", "--source", "the owners' club")

    known = shop.ok(*OFFER, "--price", "250", "--serial", "71-4O822", "--keep")["known"]  # a worn 0 reads as O

    assert len(known) == 2 and "offered before" in known[0] and ours in known[1]
    known = shop.ok(*OFFER, "--price", "250", "--serial", "71.40822")["known"]
    assert any("OR-88/204" in each for each in known)
    assert shop.ok(*OFFER, "--price", "250", "--serial", "24/71")["known"] == [], "a date code is no serial"
    (other_kind,) = shop.ok("appraise", "--kind", "relay", *OFFER[3:], "--price", "5", "--serial", "71-40822")["known"]
    assert "list of stolen parts" in other_kind, "that entry names no kind"
    assert len(shop.ok("stolen", "list")["stolen"]) == 1
    met = shop.ok("stolen", "add", "--serial", "71-40822")["known"]
    assert any(ours in each for each in met) and any("offered before" in each for each in met)


def test_prices_asked_stand_beside_a_part_and_are_no_values(shop: Any) -> None:
    ours = shop.part(part_number="HV 204 118")
    for price in ("280", "340.50"):
        shop.ok(*OFFER, "--price", price, "--keep")
    shop.ok("appraise", "--kind", "relay", "--currency", "EUR", "--worth", "20", "--price", "5", "--keep")

    told = shop.ok("offers", "like", ours)

    assert told["asked"] == [{"currency": "EUR", "count": 2, "lowest": "280.00", "highest": "340.50"}]
    assert len(told["offers"]) == 2
    for words in (("condition-list",), ("sale-sheet", ours), ("for-those-after",)):
        assert "340.5" not in shop.run(*words, "--json").out
    assert shop.card(ours)["values"] == []
