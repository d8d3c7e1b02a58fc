"""A car taken apart and put together: labels, several cars at once, names that look alike, occupied places."""

from __future__ import annotations

import pytest

from inventory.parts import tags
from tests.cli.conftest import Shop


def unused() -> str:
    return tags.issue(1, lambda _: ())[0]


def test_a_label_printed_beforehand_is_taken_once(shop: Shop) -> None:
    shop.stripping()
    label = unused()
    answer = shop.ok("teardown", "log", "--kind", "relay", "--tag", label.lower().replace("-", ""))
    assert answer["part"]["tag"] == label
    error = shop.refused("teardown", "log", "--kind", "relay", "--tag", label)
    assert (error["code"], error["where"]) == ("not-on-this-car", label)
    assert shop.refused("part", "add", "--kind", "relay", "--tag", label)["code"] == "label-taken"


def test_a_label_whose_part_was_taken_back_is_never_used_again(shop: Shop) -> None:
    label = shop.part("relay")
    shop.ok("fact", "withdraw", "marking-1", "--reason", "entered twice")
    assert shop.refused("part", "add", "--kind", "relay", "--tag", label)["code"] == "label-taken"


def test_a_part_put_back_is_logged_off_again_under_its_own_tag(shop: Shop) -> None:
    shop.stripping()
    tag = shop.ok("teardown", "log", "--kind", "relay", "--position", "wing", "--on", "2026-01-05")["part"]["tag"]
    shop.ok("refit", "fit", tag, "--position", "wing", "--on", "2026-01-06")
    answer = shop.ok("teardown", "log", "--tag", tag, "--serial", "9", "--on", "2026-01-07")
    assert (answer["part"]["tag"], answer["part"]["kind"], answer["sequence"]) == (tag, "relay", 2)
    card = shop.card(tag)
    assert (len(card["removals"]), len(card["fittings"]), card["fitted"], card["serial"]) == (2, 1, False, "9")


def test_with_two_cars_apart_it_must_be_said_which(shop: Shop) -> None:
    shop.stripping("Green tourer")
    shop.stripping("Blue coupe")
    for words in (["log", "--kind", "relay"], ["status"], ["close"], ["stays", "wing", "--why", "seized"]):
        error = shop.refused("teardown", *words, status=2)
        assert "Green tourer" in error["message"]
        assert "Blue coupe" in error["message"]
        assert error["hint"] == "--car NAME"
    assert shop.ok("teardown", "log", "--kind", "relay", "--car", "BLUE-COUPE")["car"] == "Blue coupe"
    assert shop.refused("teardown", "begin", "Blue coupe")["code"] == "strip-down-open"
    shop.ok("teardown", "close", "--car", "Blue coupe")
    assert shop.refused("teardown", "close", "--car", "Blue coupe")["code"] == "no-strip-down"
    assert shop.ok("teardown", "log", "--kind", "relay")["car"] == "Green tourer"
    shop.ok("teardown", "close")
    assert shop.refused("teardown", "log", "--kind", "relay")["code"] == "no-strip-down"
    shop.ok("teardown", "begin", "Blue coupe")
    assert shop.ok("teardown", "log", "--kind", "relay")["sequence"] == 1, "each strip-down counts from one"


def test_what_is_listed_is_still_on_until_it_is_off_or_stays(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")
    for place, name in enumerate(("wing", "scuttle", "manifold"), 1):
        shop.ok("car", "position", "Green tourer", name, "--kind", "relay", "--ordinal", str(place))
    shop.ok("teardown", "begin", "Green tourer")
    shop.ok("teardown", "log", "--kind", "relay", "--position", "Wing")
    shop.ok("teardown", "stays", "Manifold", "--why", "seized")
    status = shop.ok("teardown", "status")
    assert [part["position"] for part in status["off"]] == ["wing"]
    assert [view["name"] for view in status["still_on"]] == ["scuttle"]
    assert status["stays"] == [{"position": "manifold", "why": "seized"}]


@pytest.mark.parametrize(
    "name",
    ["green tourer", "GREEN-TOURER", "Green  tourer", "Green\u00a0tourer", "Ｇreen tourer", "Green\u200btourer",
     "Green\u202e tourer", "Gr\u00adeen tourer", "Green\ttourer", "Green tourer\x07", "Green.tourer"],
)  # fmt: skip
def test_names_that_look_alike_are_one_car(file_shop: Shop, name: str) -> None:
    file_shop.ok("car", "add", "Green tourer")
    error = file_shop.refused("car", "add", name)
    assert (error["code"], '"Green tourer"' in error["message"]) == ("car-known", True)
    assert file_shop.ok("teardown", "begin", name)["car"] == "Green tourer"


def test_names_with_accents_and_sharp_s_fold(shop: Shop) -> None:
    shop.ok("car", "add", "Große Straße")
    assert shop.ok("car", "show", "GROSSE STRASSE")["car"]["name"] == "Große Straße"
    shop.ok("car", "add", "Cafe\u0301")
    assert shop.refused("car", "add", "CAFÉ")["code"] == "car-known"
    shop.ok("place", "add", "Étagère 2")
    assert shop.refused("place", "add", "E\u0301TAGE\u0300RE2")["code"] == "place-known"


def test_an_occupied_position_is_named_however_it_is_spelled_and_stays_as_written(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")
    first, second = shop.part("relay"), shop.part("relay")
    shop.ok("refit", "fit", first, "--car", "Green tourer", "--position", "Inner wing")
    said = shop.ok("refit", "fit", second, "--car", "Green tourer", "--position", "inner-wing")["contradictions"]
    assert [(each["thing"], each["about"]) for each in said] == [("Green tourer", "position inner wing")]
    third = shop.part("relay")
    fitted = shop.ok(
        "refit", "fit", third, "--car", "Green tourer", "--position", "INNER  WING", "--override", "twin mount"
    )
    assert (fitted["position"], fitted["override"]) == ("Inner wing", "twin mount")
    assert [each["facts"] for each in fitted["contradictions"]] == [], "a reason is an answer"
    assert shop.card(third)["fittings"][0]["override"] == "twin mount"
    shop.refused("refit", "fit", shop.part("relay"), "--position", "wing")


def test_a_part_that_left_and_is_here_does_not_fit(shop: Shop) -> None:
    shop.stripping()
    shop.ok("place", "add", "Shelf B2")
    for how in ("sold", "scrapped", "lost", "stolen", "given away", "returned"):
        tag = shop.part("relay")
        shop.ok("refit", "fit", tag, "--car", "Green tourer", "--position", how, "--on", "2026-01-05")
        shop.ok("provenance", "note", tag, "--how", how, "--on", "2026-01-06")
        assert how in shop.refused("teardown", "log", "--tag", tag)["message"]
        (found,) = shop.ok("place", "put", tag, "Shelf B2")["contradictions"]
        assert found["says"].startswith(f"whereabouts: {how} on 2026-01-06; put in Shelf B2 on ")
        shop.ok("provenance", "note", tag, "--how", "came back", "--on", "2026-01-07")
        assert shop.card(tag)["gone"] is None
        assert shop.card(tag)["fitted"] is False
        assert shop.refused("teardown", "log", "--tag", tag)["code"] == "not-on-this-car"
        assert shop.ok("place", "put", tag, "Shelf B2")["contradictions"] == []


def test_a_fitted_part_on_a_shelf_does_not_fit(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")
    shop.ok("place", "add", "Shelf B2")
    tag = shop.part("relay")
    shop.ok("place", "put", tag, "Shelf B2", "--on", "2026-01-05")
    shop.ok("refit", "fit", tag, "--car", "Green tourer", "--position", "wing", "--on", "2026-01-06")
    assert shop.card(tag)["place"] is None
    (found,) = shop.ok("place", "put", tag, "Shelf B2")["contradictions"]
    assert (found["about"], len(found["facts"])) == ("whereabouts", 2)


def test_what_looks_like_the_same_part_twice_is_said(shop: Shop) -> None:
    first = shop.part("relay", part_number="HV 1", serial="00-7")
    shop.stripping()
    said = shop.run("teardown", "log", "--kind", "relay", "--part-number", "hv1", "--serial", "007", "--json")
    assert said.status == 0
    assert first in said.err
    assert said.json["part"]["tag"] != first


def test_the_hazards_are_told_once_and_what_was_done_is_kept(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")
    assert "CARE" in shop.text("teardown", "begin", "Green tourer")
    shop.ok("teardown", "close")
    begun = shop.ok("teardown", "begin", "Green tourer", "--care", "earth lead off, on stands")
    assert (begun["care"], begun["cautions"]) == ("earth lead off, on stands", [])


def test_what_was_moved_broken_or_seen_at_the_port_is_logged_and_shown(shop: Shop) -> None:
    shop.stripping()
    beside = {
        "--route": "over the brake pipe",
        "--bore": "4 mm",
        "--low-spots": "behind the air horn",
        "--at-port": "none",
        "--moved": "heater hose",
        "--broken": "stud, lower",
    }
    words = [word for pair in beside.items() for word in pair]
    tag = shop.ok("teardown", "log", "--kind", "pressure sensor", *words)["part"]["tag"]
    (removal,) = shop.card(tag)["removals"]
    assert {f"--{name.replace('_', '-')}": removal[name] for name in ("route", "bore", "low_spots")} == {
        name: beside[name] for name in ("--route", "--bore", "--low-spots")
    }
    assert (removal["at_port"], removal["moved"], removal["broken"]) == ("none", "heater hose", "stud, lower")


def test_what_belongs_at_a_position_is_added_to_and_what_it_sits_behind_must_be_there(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")
    shop.ok("car", "position", "Green tourer", "air horn", "--kind", "air temperature sensor")
    place = ("car", "position", "Green tourer", "inner wing")
    shop.ok(*place, "--kind", "pressure sensor", "--number", "HV 204 118", "--number", "HV 204 119", "--area", "bay")
    shop.ok(*place, "--axis", "across", "--mount", "3x grommet 10 x 18 x 8", "--behind", "AIR HORN")
    views = {view["name"]: view for view in shop.ok("car", "show", "Green tourer")["positions"]}
    view = views["inner wing"]
    assert (view["kind"], view["area"], view["axis"]) == ("pressure sensor", "bay", "across")
    assert (view["numbers"], view["behind"]) == (["HV 204 118", "HV 204 119"], ["air horn"])
    shop.ok(*place, "--area", "none", "--number", "unknown", "--behind", "none")  # words for nothing say nothing
    view = {view["name"]: view for view in shop.ok("car", "show", "Green tourer")["positions"]}["inner wing"]
    assert (view["area"], len(view["numbers"]), view["behind"]) == ("bay", 2, ["air horn"])
    assert shop.refused(*place, "--behind", "air hron")["near"] == ["air horn"]
    assert shop.refused(*place, "--behind", "inner wing")["code"] == "behind-itself"
    listing = shop.ok("fact", "list", "Green tourer / inner wing", "--of", "position")["facts"][-1]["id"]
    wrong = shop.refused("fact", "correct", listing, "--set", "behind=heater", "--reason", "misread")
    assert wrong["code"] == "unknown-position"


def test_two_fitters_have_a_run_of_numbers_each_told_apart_by_their_letters(shop: Shop) -> None:
    shop.stripping()
    log = ("teardown", "log", "--kind", "relay", "--by")
    first = shop.ok(*log, "Ines")
    assert (first["sequence"], first["shown"]) == (1, "1"), "alone, a number is just a number"
    assert [shop.ok(*log, name)["shown"] for name in ("Jory", "Ines", "Jory", "Ivo")] == ["J1", "I2", "J2", "Iv1"]
    off = shop.ok("teardown", "status")["off"]
    assert [(each["by"], each["sequence"], each["shown"]) for each in off] == [
        *(("Ines", 1, "In1"), ("Jory", 1, "Jo1"), ("Ines", 2, "In2"), ("Jory", 2, "Jo2"), ("Ivo", 1, "Iv1")),
    ]
    shop.ok("fact", "correct", off[1]["fact"], "--set", "bag=7", "--reason", "misread", "--by", "Ines")
    again = shop.ok("teardown", "status")["off"]
    assert [each["shown"] for each in again] == [each["shown"] for each in off], "it stays the number of who gave it"
    shop.ok("fact", "withdraw", off[3]["fact"], "--reason", "wrong part")
    assert shop.ok(*log, "Jory")["sequence"] == 3, "2 is on a bag"


def test_parts_that_came_off_as_one_are_kept_together_until_they_are_parted(shop: Shop) -> None:
    shop.stripping()
    log = ("teardown", "log", "--kind", "other")
    valve = shop.ok(*log)["part"]["tag"]
    hose = shop.ok(*log, "--with", valve)["part"]["tag"]
    clip = shop.ok(*log, "--with", hose)["part"]["tag"]
    assert shop.refused(*log, "--with", shop.part("relay"))["code"] == "not-off-as-one"
    shop.ok("place", "add", "B2")
    assert shop.ok("place", "put", valve, "B2")["along"] == sorted([hose, clip], key=[hose, clip].index)
    assert shop.card(clip)["place"] == "B2"
    assert set(shop.card(valve)["as_one"]) == {hose, clip}
    assert f"with {valve}, {clip}" in shop.text("part", "find", "other")
    assert f"kept together with: {valve}, {clip}" in shop.text("part", "show", hose)
    assert set(shop.ok("part", "apart", clip)["parted_from"]) == {hose}
    assert shop.refused("part", "apart", clip)["code"] == "not-as-one"
    shop.ok("place", "add", "C1")
    shop.ok("place", "put", clip, "C1")
    assert [shop.card(tag)["place"] for tag in (valve, hose, clip)] == ["B2", "B2", "C1"]
    (fact,) = [each for each in shop.card(clip)["together"] if each["apart"] == "yes"]
    shop.ok("fact", "withdraw", fact["id"], "--reason", "wrong label")
    assert set(shop.card(clip)["as_one"]) == {valve, hose}


def test_the_first_start_is_shown_with_its_hazard_first_and_answered_in_order(shop: Shop) -> None:
    shop.stripping()
    tag = shop.ok("teardown", "log", "--kind", "relay", "--position", "wing")["part"]["tag"]
    assert "still off: wing" in shop.text("refit", "start", "Green tourer")
    shop.ok("refit", "fit", tag, "--position", "wing")
    text = shop.text("refit", "start", "Green tourer")
    assert text.startswith("CARE  Leaks first")
    said = shop.run("refit", "start", "Green tourer", "--good", "ignition=runs", "--json")
    assert "ignition: not done before it: extinguisher, leaks" in said.err
    assert said.json["next"] == "extinguisher"
    shop.ok("refit", "start", "Green tourer", "--good", "extinguisher", "--bad", "leaks=drops at injector 2")
    assert "not good: drops at injector 2" in shop.text("car", "show", "Green tourer")
    assert shop.ok("car", "show", "Green tourer")["first_start"]["next"] == "leaks"


def test_fitting_takes_the_trades_words_for_the_axis_and_what_it_was_fitted_with(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")
    tag = shop.part("pressure sensor")
    put = ("refit", "fit", tag, "--car", "Green tourer", "--position", "wing", "--override", "customer waits")
    shop.refused(*put, "--axis", "slanting")
    shop.ok(*put, "--axis", "sideways", "--fastener", "3x M5x12 hex A2", "--car-side", "K4127-7 C1")
    says = shop.text("fact", "list", tag)
    assert "axis across" in says and "fasteners 3x M5x12 hex A2" in says and "car side K4127-7 C1" in says
    for words in (("M5x12", "hex"), ("customer", "waits"), ("K4127-7",)):
        assert shop.ok("part", "find", *words)["total"] == 1


def test_a_part_whose_day_is_before_the_strip_down_began_still_came_off(shop: Shop) -> None:
    shop.ok("car", "add", "Grey van")
    shop.ok("teardown", "begin", "Grey van", "--on", "2026-02-22")
    shop.ok("teardown", "log", "--kind", "relay", "--position", "board", "--on", "2026-02-20")
    assert "still off: board" in shop.text("refit", "start", "Grey van")
