"""A condition list with every field filled, made without a record: for what is drawn of it. All names are invented."""

from __future__ import annotations

from inventory.condition_list.values import (
    Change,
    Changes,
    ConditionList,
    ConditionSeen,
    Converted,
    Description,
    Evidence,
    EvidenceEntry,
    Front,
    Gap,
    Item,
    LargestLoss,
    Later,
    Mark,
    Premises,
    RateUsed,
    Relation,
    Run,
    Seal,
    Seen,
    Statement,
    Value,
    Where,
)
from inventory.money import total
from inventory.reasons import Reason

__all__ = ["filled_item", "filled_list", "said"]

CURRENCIES = ("EUR", "GBP", "SEK", "JPY", "KWD")
PREMISES = (("Ebbgate Works", "Skerrowmouth"), ("Lime kiln store", "Skerrowmouth"), ("Werkstatt Süd", "Łąkowo"))


def said(on: str = "2026-03-02", recorded: str = "2026-03-31") -> Statement:
    """A statement of a person's own."""
    return Statement(on, None, on, on, "the bench hand", "seen by us", "marking-1", recorded)


def filled_item(number: int, **other: object) -> Item:
    """An item; every third is not counted, every seventh has no value."""
    when, counted = said(), number % 3 != 0
    currency, (name, town) = CURRENCIES[number % 5], PREMISES[number % 3]
    decimals = {"JPY": "", "KWD": ".125"}.get(currency, ".50")
    value = Value(
        f"{100 + number}{decimals}",
        currency,
        "market",
        "Hobday Sales",
        "auctioneer",
        None,
        "stated",
        number % 5 == 0,
        when,
        "without",
    )
    fields: dict[str, object] = {
        "kind": "pressure sensor", "maker": "Ostrell", "part_number": "HV 204 118", "serial": f"{number:05}-S",
        "date_code": "21/73", "marks": "cast arrow", "match_code": "K", "match_code_state": None, "number": number,
        "tag": f"K{number:04}-7", "whose": "own" if counted else "customer's", "holder": "own" if counted else "customer A",
        "where": Where("loose", f"loose, {name}, {town}", name, None, town), "last_seen": Seen("counted", when, "count"),
        "condition": ConditionSeen(2, "one stud bent", None, None, when, "sale", "daylight", "closed", "inside"),
        "works": Run("hold", "pass", "49.2 +/- 0.4 left after 10 s, at least 45 needed", when, False, None, ""),
        "came": "bought (said by seller)", "came_when": said("1998~"), "value": None if number % 7 == 0 else value,
        "counted_in_total": counted, "heading": "counted" if counted else "held for others",
        "why": "" if counted else "a customer's part", "goes_with": "C0001-7: codes read on both, equal",
        "remarks": (f"remark{number} failed hold on 2025-01-02",), "seals_now": (Seal("cap", "intact", False, when),),
        "evidence": (
            Evidence(f"document-{2 * number}", "whole", True, "0123456789abcdef", when),
            Evidence(f"document-{2 * number + 1}", "marking", True, "fedcba9876543210", when),
        ),
        "evidence_numbers": (2 * number - 1, 2 * number),
        "description": Description("62 x 48 x 40 mm", "zinc", f"feature{number}", "on the flange", when),
        "marks_verbatim": (Mark("serial", f"{number:05}-S", "stamped, lower flange"), Mark("date code", "21/73")),
        "relation": Relation("original to this car", "Green tourer", "document 4", when), "trade_class": "used, tested by hold",
        "complete": "missing: one clip", "stable": "stable", "history": "fitted to Green tourer until 2025",
    }  # fmt: skip
    return Item(**(fields | other))  # type: ignore[arg-type]


def filled_list(items: list[Item], **other: object) -> ConditionList:
    """A list of these items."""
    values = [(item.value.amount, item.value.currency) for item in items if item.value and item.counted_in_total]
    fields: dict[str, object] = {
        "number": 4, "as_of": "2026-03-31", "known_on": "2026-03-31", "basis": "market", "prepared_by": "the office",
        "items": tuple(items), "totals": total(values), "other_totals": {}, "other_totals_by_heading": {"held for others": {"EUR": "90.00"}},
        "left_out": ({"number": 2, "reason": "had left by 2026-03-31: sold"},), "without_picture": 0, "without_value": 3,
        "seen_within_12_months": len(items), "stale_values": 1,
        "gaps": tuple(Gap(item.number, item.tag, f"gap{item.number} not known", "no picture", 1, "existence comes first") for item in items),
        "reasons": (Reason("amounts on different bases are never added", "one basis a total", "no source"),),
        "front": Front("Ebbgate Works", "M. Quill", "bookkeeper, no interest in the goods", "Fernhill Mutual", "HM 12", "2027-01-01", None, 3),
        "premises": tuple(Premises(name, town, "alarm, grilles", 9, {"EUR": "10.00"}) for name, town in PREMISES),
        "largest_loss": (LargestLoss("Ebbgate Works", "9000.00", "EUR"),), "totals_proposed": {"EUR": "77.00"}, "totals_by_tax": {"without": total(values)},
        "converted": Converted("EUR", "4000.00", (RateUsed("GBP", "EUR", "1.17", "central bank's list", "2026-03-30", "rate-1"),), {"SEK": "9.00"}),
        "edition": "2026-1",
        "evidence": tuple(
            EvidenceEntry(at + 1, each.document, each.shows, True, "2026-03-02", "the bench hand", "1 page", each.digest16, (item.number,))
            for at, (item, each) in enumerate((item, each) for item in items for each in item.evidence)
        ),
        "later": (Later(1, "K0001-7", "corrected", "later-fact: pass became fail", "2026-03-02", "2026-12-05"),),
        "changes": Changes(3, ("K0001-7",), ("X9999-9",), (Change("K0002-7", "value", "EUR 90.00", "EUR 102.50"),)),
    }  # fmt: skip
    return ConditionList(**(fields | other))  # type: ignore[arg-type]
