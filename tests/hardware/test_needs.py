"""What may stand for what, and what a car needs."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from inventory.hardware.compare import grommet_findings, same_things, stands_for
from inventory.hardware.needs import HoseToRenew, Line, OffPart, Stock, lines_of, stock_of
from inventory.hardware.parse import parse
from inventory.hardware.rubber import store_age
from inventory.opening import open_record
from tests.cli.conftest import Shop
from tui.data.refit import to_buy

TODAY = date(2026, 11, 27)

STANDS = {
    ("M6x20 hex", "M6 x 20 Sechskant"): ("same", "no"),  # at the brakes the old one's class must be known
    ("M6x20 hex 8.8", "M6x20 hex 8.8"): ("same", "same"),
    ("M6x20 hex 10.9", "M6x20 hex 8.8"): ("same", "same"),
    ("M6x20 hex 5.8", "M6x20 hex 8.8"): ("near", "no"),
    ("M6x20 hex", "M6x20 hex 8.8"): ("near", "no"),
    ("M6x20 hex A2", "M6x20 hex"): ("may", "no"),
    ("M6x20 hex A2-70", "M6x20 hex A2"): ("same", "no"),
    ("M6x20 hex zinc", "M6x20 hex"): ("may", "no"),
    ("M6x25 hex", "M6x20 hex"): ("near", "near"),
    ("M6x16 hex", "M6x20 hex"): ("no", "no"),
    ("M5x12 hex", "M5x12 pan slotted"): ("near", "near"),
    ("12-24 x 1/2", "sheet-metal No. 12 x 1/2"): ("no", "no"),
    ("M8x1x20", "M8x20"): ("no", "no"),
    ("grommet 10 x 18 x 8", "grommet 10 x 18 x 8"): ("may", "may"),
    ("grommet 10 x 18 x 8 groove 14 x 2", "grommet 10 x 18 x 8 groove 14 x 3"): ("near", "near"),
    ("fuel hose 7.5 x 13", "vacuum hose 7.5 x 13"): ("no", "no"),
}


@pytest.mark.parametrize(("pair", "words"), STANDS.items())
def test_what_may_stand_for_what(pair: tuple[str, str], words: tuple[str, str]) -> None:
    one, wanted = map(parse, pair)
    assert tuple(stands_for(one, wanted, critical=critical).word for critical in (False, True)) == words


def test_a_grommet_fits_by_groove_hole_and_plate_and_its_sleeve_carries_the_clamp() -> None:
    plain, grooved = parse("grommet 10 x 18 x 8"), parse("grommet 10 x 18 x 8 groove 14 x 2")
    assert grommet_findings(grooved, 14, 2, 7.5) == []
    assert "measure the groove" in grommet_findings(plain, 14, 2, 7.5)[0]
    assert [len(grommet_findings(grooved, *sizes)) for sizes in ((12, 2, 7), (14, 3, 7), (14, 2, 9), (14, 2, 2))] == [
        1
    ] * 4
    assert len(grommet_findings(grooved, None, None, None)) == 3


def test_rubber_is_looked_over_after_its_first_period_and_left_after_the_second() -> None:
    assert store_age("2020-33", "NBR", TODAY) is None
    looked, over = store_age("2018-33", "nitrile", TODAY), store_age("1994-35", "NBR", TODAY)
    assert looked is not None and not looked.over and "look it over" in looked.says
    assert over is not None and over.over and over.standing == "from memory"
    assert store_age("2018-33", "EPDM", TODAY) is None
    unknown = store_age("2018-33", "", TODAY)
    assert unknown is not None and unknown.over and "material not noted" in unknown.says


def _lines(*parts: OffPart, stock: tuple[Stock, ...] = ()) -> dict[str, Line]:
    return {line.item.spec: line for line in lines_of(parts, stock, TODAY)}


def test_a_bag_holds_what_came_off_so_only_broken_lost_and_new_is_needed() -> None:
    bagged = OffPart("wing", "A", "7", "3x M6x20 hex, 1 lost; 2x M5x12 pan slotted", "3x grommet 10 x 18 x 8",
                     "4-pin plug; vacuum hose 4 mm; fuel hose 7.5 x 13", "hose clip 8-12; stud; one M5x12 pan slotted")  # fmt: skip
    loose = OffPart("", "B", None, "2x M6x20 hex")
    lines = _lines(bagged, loose)
    counted = {spec: (line.used, line.needed, line.unsure) for spec, line in lines.items()}
    assert counted == {
        "M6x20 hex": (5, 3, 2),
        "M5x12 pan slotted": (2, 1, 0),
        "grommet 10 x 18 x 8": (3, 0, 0),
        "vacuum hose 4 mm": (1, 0, 0),
        "fuel hose 7.5 x 13": (1, 0, 0),
        "hose clip 8-12": (1, 1, 0),
        "stud": (1, 1, 0),
    }
    assert lines["M6x20 hex"].needs == {"wing": 1, "B": 2}
    assert _lines(OffPart("rail", "C", "8", None, None, "fuel hose 7.5 x 13", "hose"))["fuel hose 7.5 x 13"].needed == 1


def test_a_fuel_hose_over_age_is_bought_once_and_one_of_unknown_age_is_looked_at_first() -> None:
    old, unknown = HoseToRenew("over age", sure=True), HoseToRenew("not known", sure=False)
    joined = "4-pin plug; fuel hose 7.5 x 13; vacuum hose 4 mm"
    one = OffPart("injector 1", "A", "7", None, None, joined, None, old)
    torn = OffPart("injector 2", "B", "7", None, None, joined, "hose", old)
    itself = OffPart("fuel hose, rail", "C", hose=unknown)
    lines = _lines(one, torn, itself)
    hose, alone = lines["fuel hose 7.5 x 13"], lines["fuel hose"]
    assert (hose.used, hose.needed, hose.unsure, hose.to_buy, hose.look_first) == (2, 2, 0, 2, False)
    assert hose.needed_for == "injector 1 (over age); injector 2"
    assert lines["vacuum hose 4 mm"].needed == 0
    assert (alone.needed, alone.look_first, alone.why) == (1, True, {"fuel hose, rail": "not known"})


def test_the_same_things_are_the_same_however_they_are_written() -> None:
    for other in ("3x M6 x 20 Sechskant", "M6x20 hex; 2x M6x20 hex", "3x M6x20 hex, 1 lost"):
        assert same_things("3x M6x20 hex", other)
    for other in ("3x M5x12 slotted", "2x M6x20 hex", "3x M6x20 hex 8.8", "3x M6x20 hex; bush"):
        assert not same_things("3x M6x20 hex", other)


def test_what_is_not_understood_is_pooled_without_its_count() -> None:
    one, other = (
        OffPart(at, at, "7", None, said, None, None) for at, said in (("a", "2x bush 8 x 12"), ("b", "bush 8 x 12"))
    )
    lines = _lines(one, other, stock=(stock_of("tin 4", "3x bush 8 x 12", 3),))
    assert {spec: (line.used, line.written) for spec, line in lines.items()} == {
        "bush 8 x 12": (3, ["2x bush 8 x 12", "bush 8 x 12"])
    }


def test_stock_is_given_out_once_first_where_the_class_matters() -> None:
    plain, strong = OffPart("wing", "A", None, "2x M6x20 hex"), OffPart("brake servo", "B", None, "2x M6x20 hex 8.8")
    stock = (
        stock_of("tin 4", "M6x20 hex 8.8", 3),
        stock_of("tin 5", "M6x20 hex A2", 9),
        stock_of("tin 6", "M6x25 hex", 9),
    )
    lines = _lines(plain, strong, stock=stock)
    at_brake, at_wing = lines["M6x20 hex 8.8"], lines["M6x20 hex"]
    assert (at_brake.in_stock, at_brake.to_buy, at_wing.to_buy) == (3, 0, 0)
    assert [(each.place, count) for each, count, _ in at_wing.places] == [("tin 4", 1), ("tin 5", 9)]
    assert any("stainless" in say for _, _, says in at_brake.near for say in says)
    assert [each.place for each, _, _ in at_wing.near] == ["tin 6"]
    old = stock_of("drawer", "fuel hose 7.5 x 13 NBR cured 3/94", 4)
    torn = OffPart("rail", "C", "8", None, None, "fuel hose 7.5 x 13, torn")
    (hose,) = lines_of([torn], [old], TODAY)
    assert (hose.needed, hose.in_stock, hose.to_buy) == (1, 0, 1)


def test_from_the_strip_down_to_the_shop(shop: Shop) -> None:
    shop.stripping("Green tourer")
    log = ("teardown", "log", "--kind", "relay", "--position")
    tag = shop.ok(*log, "wing", "--fastener", "3x M6x20 hex", "--mount", "3x grommet 10 x 18 x 8")["part"]["tag"]
    shop.ok(*log, "bulkhead", "--bag", "7", "--fastener", "2x M6 x 20 hex", "--fastener", "thing")
    shop.ok("hardware", "stock", "M6x20 hex", "--count", "9", "--place", "tin 4")
    shop.ok("hardware", "stock", "M6 x 20 Sechskant", "--count", "2", "--place", "Tin 4")
    assert shop.refused("hardware", "stock", "M6", "--count", "-1", "--place", "tin 4")["code"] == "count-out-of-range"
    assert (
        shop.refused("hardware", "stock", "hose", "--count", "1", "--place", "tin 4", "--cured", "94")["code"]
        == "not-a-cure-code"
    )
    (held,) = shop.ok("hardware", "list")["stock"]
    assert (held["spec"], held["count"], held["place"]) == ("M6x20 hex", 2, "tin 4")
    lines = {line["spec"]: line for line in shop.ok("refit", "hardware", "Green tourer")["lines"]}
    screw = lines["M6x20 hex"]
    assert [screw[key] for key in ("used", "needed", "in_stock", "to_buy", "for")] == [5, 3, 2, 1, ["wing"]]
    assert screw["places"] == [{"place": "tin 4", "count": 2, "says": []}]
    assert not lines["thing"]["understood"]
    shop.ok("refit", "fit", tag, "--position", "wing")
    assert [line["spec"] for line in shop.ok("refit", "hardware", "Green tourer")["lines"]] == ["M6x20 hex", "thing"]
    assert (
        shop.ok("hardware", "read", "M6x20 hex A2", "--for", "M6x20 hex", "--at", "steering box")["stands"]["word"]
        == "no"
    )


def test_fuel_hoses_over_age_are_among_what_to_buy(shop: Shop) -> None:
    shop.stripping("Green tourer")
    assert "No hardware" in shop.text("refit", "hardware", "Green tourer")
    log = ("teardown", "log", "--position")
    hoses = {
        "injector 1": "fuel hose 7.5 x 13, 3/12",
        "injector 2": "fuel hose 7.5 x 13",
        "injector 3": "fuel hose 6 mm",
    }
    tags = {
        name: shop.ok(*log, name, "--kind", "injector", "--connection", hose)["part"]["tag"]
        for name, hose in hoses.items()
    }
    shop.ok(*log, "fuel hose, rail to injector 4", "--kind", "other")
    shop.ok("work", "log", tags["injector 2"], "--what", "new fuel hose")
    lines = {line["spec"]: line for line in shop.ok("refit", "hardware", "Green tourer")["lines"]}
    old = lines["fuel hose 7.5 x 13"]
    assert (old["used"], old["to_buy"], old["unsure"], old["for"]) == (2, 1, 0, ["injector 1"])
    assert old["why"] == {"injector 1": "over 10 years, workshop judgement: made in 2012"}
    buy, look, _ = shop.text("refit", "hardware", "Green tourer").split("\n\n")
    assert buy.startswith("To buy\n  1 of fuel hose 7.5 x 13   for injector 1 (over 10 years, workshop judgement")
    assert look.startswith("Look first") and "for injector 3 (the age of the hose is not known)" in look
    assert "1 of fuel hose   for fuel hose, rail to injector 4 (the age" in look
    record = open_record(shop.target)
    with record.read() as session:
        first, *others = to_buy(session, "Green tourer")
    record.close()
    assert first == "BUY  1 x fuel hose 7.5 x 13, for injector 1 (over 10 years, workshop judgement: made in 2012)"
    assert [line.partition(",")[0] for line in others[:2]] == ["LOOK  1 x fuel hose 6 mm", "LOOK  1 x fuel hose"]


def test_what_may_replace_is_said_plainly(shop: Shop) -> None:
    assert "may replace it" in shop.text("hardware", "read", "M6x20 hex A2", "--for", "M6x20 hex")


def test_stock_comes_from_a_sheet_and_goes_back_unchanged(shop: Shop, tmp_path: Path) -> None:
    shop.ok("hardware", "stock", "M6x20 hex", "--count", "9", "--place", "tin 4")
    rows = "Place,Spec,Qty,Cured\nTin 4,M6 x 20 hex,12,\ndrawer,fuel hose 7.5 x 13,2,3/94\ndrawer,clip,many,\n"
    (tmp_path / "hardware.csv").write_text(rows, encoding="utf-8")
    assert shop.ok("sheet", "read", str(tmp_path / "hardware.csv"), status=3)["refused"] == 1
    (tmp_path / "hardware.csv").write_text(rows.replace("many", "0"), encoding="utf-8")
    read = shop.ok("sheet", "read", str(tmp_path / "hardware.csv"))
    assert (read["changed"], read["added"]) == (1, 2)
    held = {
        (each["place"], each["spec"]): (each["count"], each["cured"]) for each in shop.ok("hardware", "list")["stock"]
    }
    assert held == {("tin 4", "M6x20 hex"): (12, None), ("drawer", "fuel hose 7.5 x 13"): (2, "1994-35")}
    shop.ok("sheet", "write", str(tmp_path / "all.xlsx"))
    again = shop.ok("sheet", "read", str(tmp_path / "all.xlsx"))
    assert again["rows_read"] == again["unchanged"] >= 3
    assert shop.ok("verify")["ok"]
