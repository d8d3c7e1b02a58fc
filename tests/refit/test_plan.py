"""The plan for a car: the order, what each step needs, and what is odd about a position."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.refit.apart import Apart
from tests.cli.conftest import Shop

CAR = "Green tourer"


@pytest.fixture
def apart(shop: Shop) -> dict[str, str]:
    """A car with four positions off it, in this order: horn, sensor, rail, injector. Gives their tags."""
    shop.ok("car", "add", CAR)
    for place, (name, kind) in enumerate(
        (("horn", "other"), ("inner wing", "pressure sensor"), ("rail", "other"), ("injector 1", "injector")), 1
    ):
        shop.ok("car", "position", CAR, name, "--kind", kind, "--ordinal", str(place), "--fasteners", "2x M6x16 hex")
    shop.ok("car", "position", CAR, "relay plate", "--kind", "relay")
    shop.ok("teardown", "begin", CAR)
    sensor = ("--axis", "along", "--fastener", "3x M6x20 hex", "--bag", "7", "--moved", "heater hose; horn")
    return {
        "horn": came_off(shop, "other", "horn"),
        "sensor": came_off(shop, "pressure sensor", "inner wing", *sensor, "--route", "over the brake pipe"),
        "rail": came_off(shop, "other", "rail"),
        "injector": came_off(shop, "injector", "injector 1"),
    }


def came_off(shop: Shop, kind: str, position: str, *more: str) -> str:
    logged = shop.ok("teardown", "log", "--kind", kind, "--position", position, "--on", "2026-03-01", *more)
    return str(logged["part"]["tag"])


def behind(shop: Shop, position: str, other: str) -> None:
    shop.ok("fact", "add", "listing", f"{CAR} / {position}", "--set", f"behind={other}", "--set", "axis=across")


def steps(shop: Shop) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = shop.ok("refit", "plan", CAR)["steps"]
    return found


def test_without_more_the_plan_is_the_reverse_and_tells_all_that_was_logged(shop: Shop, apart: dict[str, str]) -> None:
    shop.ok("place", "add", "shelf B2")
    shop.ok("place", "put", apart["sensor"], "shelf B2")
    plan = shop.ok("refit", "plan", CAR)

    assert [step["position"] for step in plan["steps"]] == ["injector 1", "rail", "inner wing", "horn"]
    sensor = plan["steps"][2]
    assert (sensor["tag"], sensor["place"], sensor["bag"]) == (apart["sensor"], "shelf B2", "7")
    assert (sensor["axis"], sensor["axis_from"], sensor["route"]) == ("along", "as found", "over the brake pipe")
    assert (sensor["fasteners"], plan["steps"][0]["fasteners"]) == (["3x M6x20 hex"], ["2x M6x16 hex"])
    assert [check.split(" was moved")[0] for check in sensor["checks"][:2]] == ["heater hose", "horn"]
    assert any("vapour" in line for line in plan["steps"][0]["care"])
    horn = plan["steps"][3]
    assert (horn["after"], horn["state"], horn["group"], sensor["state"]) == (["inner wing"], "waits", 2, "now")
    assert horn["reasons"] == ["horn was moved to get at inner wing"]
    assert plan["still_on"] == [{"position": "relay plate", "tag": None, "why": None}]
    assert f"  3  {apart['sensor']} pressure sensor  inner wing  [NOT READY]" in shop.text("refit", "plan", CAR)


def test_fasteners_of_the_list_stand_beside_others_that_were_found(shop: Shop, apart: dict[str, str]) -> None:
    same = came_off(shop, "other", "horn", "--second", "both sat here", "--fastener", "2x M6 x 16 Sechskant")
    unlisted = came_off(shop, "relay", "relay plate", "--fastener", "2x M4x10 pan")
    listed = {step["tag"]: step["fasteners_listed"] for step in steps(shop)}

    assert listed[apart["sensor"]] == ["2x M6x16 hex"]
    assert listed[same] == listed[unlisted] == listed[apart["rail"]] == []
    said = shop.text("refit", "plan", CAR)
    assert "fasteners    found 3x M6x20 hex; listed 2x M6x16 hex\n" in said
    assert said.count("; listed ") == 1


def test_what_sits_behind_goes_first_and_what_is_on_is_waited_for_no_more(shop: Shop, apart: dict[str, str]) -> None:
    behind(shop, "rail", "injector 1")
    behind(shop, "inner wing", "Injector-1")
    first, second, third, _ = steps(shop)

    assert [first["position"], second["position"], third["position"]] == ["rail", "inner wing", "injector 1"]
    assert (third["after"], third["waits_for"]) == (["rail", "inner wing"], ["rail", "inner wing"])
    assert (second["axis"], second["axis_from"]) == ("across", "list"), "what the list says goes before what was found"
    shop.ok("refit", "fit", apart["rail"], "--position", "rail", "--on", "2026-03-10")
    shop.ok("refit", "fit", apart["sensor"], "--position", "inner wing", "--override", "to try it")
    first, _, third, _ = steps(shop)
    assert (first["state"], first["on"]) == ("on", "2026-03-10")
    assert (third["state"], third["after"], third["waits_for"]) == ("now", ["rail", "inner wing"], [])


def test_a_circle_is_shown_with_its_facts_and_opened_by_mending_one(shop: Shop, apart: dict[str, str]) -> None:
    behind(shop, "rail", "inner wing")
    behind(shop, "inner wing", "rail")
    plan = shop.ok("refit", "plan", CAR)

    (circle,) = plan["cycles"]
    assert set(circle["positions"]) == {"rail", "inner wing"}
    listings = {"position_listing-6", "position_listing-7"}
    assert set(circle["facts"]) == listings
    assert "Look first at position_listing-7" in circle["mend"], "the rail came off later, so it goes on first"
    assert [step["position"] for step in plan["steps"]] == ["injector 1", "rail", "inner wing", "horn"]
    shop.ok("fact", "withdraw", "position_listing-7", "--reason", "the wrong way round")
    assert shop.ok("refit", "plan", CAR)["cycles"] == []


def test_no_part_is_dropped_wherever_it_is(shop: Shop, apart: dict[str, str]) -> None:
    loose = shop.ok("teardown", "log", "--kind", "relay")["part"]["tag"]
    second = came_off(shop, "other", "horn", "--second", "both sat here")
    shop.ok("provenance", "note", apart["rail"], "--how", "sold")
    shop.ok("refit", "fit", apart["injector"], "--position", "inner wing", "--override", "by mistake")
    by_position = {(step["position"], step["tag"]): step for step in steps(shop)}

    assert by_position["no position noted", loose]["state"] == "now"
    assert by_position["rail", apart["rail"]]["state"] == "away"
    assert "sold" in by_position["rail", apart["rail"]]["notes"][0]
    assert by_position["horn", apart["horn"]]["notes"] == [f"{second} came off here too"]
    assert by_position["horn", second]["notes"] == [f"{apart['horn']} came off here too"]
    wing = by_position["inner wing", apart["injector"]]
    assert (wing["state"], f"{apart['sensor']} came off here and is still off" in wing["notes"][0]) == ("on", True)
    assert by_position["injector 1", None]["state"] == "unknown"
    assert "is recorded as fitted here: inner wing" in by_position["injector 1", None]["notes"][0]


def test_a_part_that_is_to_go_on_takes_the_place_of_what_came_off(shop: Shop, apart: dict[str, str]) -> None:
    other = shop.part("other")
    shop.ok("refit", "assign", other, "--position", "rail", "--car", CAR, "--why", "the old one leaks")
    shop.ok("refit", "assign", apart["horn"], "--position", "relay plate")
    at = {step["position"]: step for step in steps(shop)}

    assert (at["rail"]["tag"], at["rail"]["state"], at["rail"]["bag"]) == (other, "now", None)
    assert at["rail"]["notes"] == [f"{apart['rail']} came off here; {other} is to go on instead"]
    assert (at["relay plate"]["tag"], at["relay plate"]["removal"]) == (apart["horn"], None)
    assert (at["horn"]["state"], at["horn"]["tag"]) == ("unknown", None)
    assert at["horn"]["notes"] == [f"{apart['horn']} came off here and is to go on elsewhere: relay plate"]
    shop.ok("car", "add", "Blue coupe")
    shop.ok("refit", "assign", apart["sensor"], "--position", "wing", "--car", "Blue coupe")
    (wing,) = [step for step in steps(shop) if step["position"] == "inner wing"]
    assert (wing["tag"], wing["notes"][0].split(": ")[1]) == (None, "wing, Blue coupe")
    assert [step["tag"] for step in shop.ok("refit", "plan", "Blue coupe")["steps"]] == [apart["sensor"]]
    shop.ok("refit", "fit", other, "--position", "rail", "--car", CAR, "--override", "as planned")
    (rail,) = [step for step in steps(shop) if step["position"] == "rail"]
    assert (rail["tag"], rail["state"]) == (other, "on")
    assert shop.ok("verify")["ok"]


def test_a_job_stands_between_the_steps_and_holds_up_what_comes_after(shop: Shop, apart: dict[str, str]) -> None:
    words = ("clip the loom", "--before", "inner wing", "--after", "rail", "--waits-for", "paint")
    job = shop.ok("refit", "job", "add", CAR, *words)["job"]
    shop.ok("refit", "job", "add", CAR, "look at the earths", "--before", "relay plate")
    plan = shop.ok("refit", "plan", CAR)

    assert [(each["text"], each["before_step"]) for each in plan["jobs"]] == [
        ("look at the earths", 1), ("clip the loom", 3)
    ]  # fmt: skip
    wing = plan["steps"][2]
    assert (wing["position"], wing["state"], wing["waits_for"]) == ("inner wing", "waits", ["clip the loom"])
    assert f"[ ] {job}: clip the loom, waits for paint" in shop.text("refit", "plan", CAR)
    anew = shop.ok("fact", "correct", job, "--set", "waits for=", "--reason", "painted")["fact"]
    shop.ok("refit", "job", "done", anew.removeprefix("job-"), "--on", "2026-03-02")
    done = shop.ok("fact", "correct", anew, "--set", "text=clip the loom twice", "--reason", "both clips")["fact"]
    (listed,) = [each for each in shop.ok("refit", "job", "list", CAR)["jobs"] if each["job"] == done]
    assert (listed["done"], listed["text"]) == ("2026-03-02", "clip the loom twice"), "a corrected job stays done"
    assert steps(shop)[2]["state"] == "now"
    assert shop.refused("refit", "job", "done", done)["code"] == "job-done-already"
    assert shop.refused("refit", "job", "done", "job-77")["code"] == "no-such-job"


def test_jobs_and_positions_can_make_a_circle(shop: Shop, apart: dict[str, str]) -> None:
    behind(shop, "rail", "inner wing")
    shop.ok("refit", "job", "add", CAR, "clip the loom", "--before", "rail", "--after", "inner wing")
    (circle,) = shop.ok("refit", "plan", CAR)["cycles"]
    assert set(circle["positions"]) == {"rail", "inner wing", "clip the loom"}


def test_what_was_changed_found_and_done_stands_at_its_step(shop: Shop, apart: dict[str, str]) -> None:
    shop.ok("refit", "altered", CAR, "6 mm hole drilled", "--position", "inner wing", "--on", "2026-03-02")
    shop.ok("refit", "altered", CAR, "sill repaired")
    shop.ok("fact", "add", "adjuster found", CAR, "--set", "adjuster=injector 1 trim", "--set", "before=seized")
    shop.ok("fact", "add", "adjuster found", CAR, "--set", "adjuster=idle air screw", "--set", "before=2.5",
            "--set", "unit=turns")  # fmt: skip
    shop.ok("work", "log", apart["horn"], "--what", "bracket powder-coated", "--where", "outside", "--on", "2026-03-05")
    shop.ok("work", "log", apart["rail"], "--what", "washed", "--where", "outside", "--on", "2026-03-05")
    plan = shop.ok("refit", "plan", CAR)
    at = {step["position"]: step for step in plan["steps"]}

    assert at["inner wing"]["alterations"] == ["6 mm hole drilled, 2026-03-02"]
    assert plan["alterations"][0].startswith("sill repaired")
    assert at["injector 1"]["settings"] == ["injector 1 trim: seized when found"]
    assert plan["settings"] == ["idle air screw: 2.5 turns when found"]
    assert [
        check.startswith("bracket powder-coated (2026-03-05): check the earths") for check in at["horn"]["checks"]
    ] == [True]
    assert at["rail"]["checks"] == []


def test_a_car_that_was_never_apart_has_no_steps(file_shop: Shop) -> None:
    file_shop.ok("car", "add", CAR)
    file_shop.ok("car", "position", CAR, "wing", "--kind", "relay")
    plan = file_shop.ok("refit", "plan", CAR)
    assert (plan["steps"], [each["position"] for each in plan["still_on"]]) == ([], ["wing"])
    assert file_shop.refused("refit", "plan", "Blue coupe")["code"] == "unknown-car"


def test_each_step_tells_whether_its_part_may_go_on_and_how_the_car_side_is_marked(
    shop: Shop, apart: dict[str, str]
) -> None:
    shop.ok("labels", "car-side", f"{apart['sensor']} C1", "plug")
    other = shop.part("relay")
    shop.ok("refit", "assign", other, "--position", "relay plate", "--car", CAR)
    shop.ok("refit", "fit", apart["horn"], "--position", "horn", "--override", "to try it")
    plan = shop.ok("refit", "plan", CAR)
    at = {step["position"]: step for step in plan["steps"]}
    ready = {each["position"]: each for each in shop.ok("refit", "ready", CAR, status=1)["positions"]}

    wing = at["inner wing"]
    assert (wing["ready"], at["horn"]["ready"], at["relay plate"]["tag"]) == (False, None, other)
    assert wing["stops"] == [stop["says"] for stop in ready["inner wing"]["stops"]]
    assert set(wing["stops"]) <= set(wing["reasons"])
    assert wing["car_side"] == [f"plug: label {apart['sensor']} C1"]


def test_parts_that_came_off_as_one_say_so_at_their_steps(shop: Shop, apart: dict[str, str]) -> None:
    clip = shop.ok("teardown", "log", "--kind", "other", "--with", apart["rail"])["part"]["tag"]
    notes = {step["tag"]: step["notes"] for step in steps(shop)}
    assert notes[clip] == [f"came off as one with {apart['rail']}"]
    assert notes[apart["rail"]] == [f"came off as one with {clip}"]


def test_each_fitting_is_looked_at_once_not_once_for_each_position() -> None:
    class Fitting:
        position_id, looked_at = 1, 0

        @property
        def thing_id(self) -> int:
            self.looked_at += 1
            return 1

    fittings = [Fitting() for _ in range(20)]
    apart = Apart({}, {}, [], fittings, {})

    assert {apart.last_fitting_of.get(1) for _ in range(20)} == {fittings[-1]}
    assert all(len(apart.fittings_at[1]) == 20 for _ in range(20))
    assert {each.looked_at for each in fittings} == {1}


def test_every_fact_of_a_circle_that_the_plan_does_not_follow_is_named(shop: Shop, apart: dict[str, str]) -> None:
    for position, other in (("inner wing", "rail"), ("rail", "injector 1"), ("injector 1", "inner wing")):
        behind(shop, position, other)
    (circle,) = shop.ok("refit", "plan", CAR)["cycles"]
    aside = [says.split("(")[1].rstrip(")") for says in circle["says"] if not says.startswith("injector 1")]
    assert all(fact in circle["mend"] for fact in aside) and "follows neither" in circle["mend"]
