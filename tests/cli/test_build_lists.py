"""`car list`: ready-made lists, copies, and what a list says beside what is there."""

from __future__ import annotations

from typing import Any

from tests.cli.conftest import Shop

READY = "early pressure-sensed injection"


def states(shop: Shop, car: str) -> dict[str, Any]:
    return {each["position"]: each["states"] for each in shop.ok("car", "list", car)["positions"]}


def test_a_ready_made_list_and_a_copy_fill_in_and_never_overwrite(shop: Shop) -> None:
    for car in ("Green tourer", "Blue coupe"):
        shop.ok("car", "add", car)
    assert [car["name"] for car in shop.ok("car", "list")["cars"]] == ["Blue coupe", "Green tourer"]
    shop.ok("car", "position", "Green tourer", "distributor", "--part-number", "HV 120 007")
    taken = shop.ok("car", "list", "use", READY, "Green tourer", "--cylinders", "4")
    assert (len(taken["added"]), taken["filled"], taken["kept"]) == (20, ["distributor"], [])
    shop.ok("car", "position", "Green tourer", "throttle body", "--behind", "heater box", "--new", status=3)
    shop.ok("car", "list", "copy", "Green tourer", "Blue coupe")
    again = shop.ok("car", "list", "copy", "Green tourer", "Blue coupe")
    assert (again["added"], again["filled"], len(again["kept"])) == ([], [], 21)
    views = {view["name"]: view for view in shop.ok("car", "show", "Blue coupe")["positions"]}
    assert (views["distributor"]["kind"], views["distributor"]["part_number"]) == ("trigger contacts", "HV 120 007")
    assert views["bracket of the pressure sensor"]["behind"] == ["hose to the pressure sensor"]
    facts = shop.ok("fact", "list", "Blue coupe / distributor", "--of", "position")["facts"]
    assert [(fact["how_known"], fact["reason"]) for fact in facts] == [("from a list", "list of the Green tourer")]


def test_missing_unknown_foreign_failed_and_still_on(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")
    listed = {
        "wing": "pressure sensor",
        "horn": "air temperature sensor",
        "left wing": "pressure sensor",
        "bay": "relay",
    }
    for position, kind in listed.items():
        shop.ok("car", "position", "Green tourer", position, "--kind", kind)
    shop.ok("car", "position", "Green tourer", "wing", "--number", "HV 204 118")
    assert set(map(tuple, states(shop, "Green tourer").values())) == {("unknown",)}
    shop.ok("teardown", "begin", "Green tourer")
    log = ("teardown", "log", "--car", "Green tourer", "--kind")
    sensor = shop.ok(*log, "pressure sensor", "--part-number", "HV 204 130", "--position", "wing")["part"]["tag"]
    leaky = shop.ok(*log, "pressure sensor", "--position", "left wing")["part"]["tag"]
    rig = ("--resolution", "1cmHg", "--blank", "0s=50cmHg", "--blank", "60s=50cmHg")
    readings = ("--reading", "0s=50cmHg", "--reading", "5s=30cmHg", "--reading", "10s=20cmHg")
    assert shop.ok("bench", "run", "hold", leaky, *readings, *rig)["verdict"] == "fail"
    shop.ok("teardown", "stays", "horn", "--why", "seized")
    shop.ok(*log, "relay", "--position", "boot")
    now = states(shop, "Green tourer")
    assert now == {
        "wing": ["off", "foreign"],
        "horn": ["still on"],
        "left wing": ["off", "failed"],
        "bay": ["still on"],
        "boot": ["off", "not listed"],
    }
    shop.ok("teardown", "close")
    shop.ok("provenance", "note", sensor, "--how", "sold")
    shop.ok("fits", "supersede", "HV 204 118", "HV 204 130")
    now = states(shop, "Green tourer")
    assert (now["wing"], now["bay"]) == (["missing"], ["missing"])
    assert "HV 204 118" in shop.text("car", "list", "Green tourer")
