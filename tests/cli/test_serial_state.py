"""Why a part has no serial is said wherever its serial would stand, and a serial read later takes its place."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Shop


@pytest.mark.parametrize("state", ["not legible", "none on it", "not looked at"])
def test_why_there_is_no_serial_is_said_where_it_would_stand(shop: Shop, state: str) -> None:
    tag = shop.ok("part", "add", "--kind", "relay", "--serial-state", state)["tag"]
    assert shop.card(tag)["serial_state"] == state
    assert f"no serial: {state}" in shop.text("part", "find", "relay")
    assert f"serial: {state}" in shop.text("part", "show", tag)
    (item,) = shop.ok("condition-list", "-o", "list.json")["items"]
    assert item["serial"] is None
    shop.ok("sheet", "write", "all.json")
    again = shop.ok("sheet", "read", "all.json")
    assert (again["unchanged"], again["added"], again["changed"]) == (again["rows_read"], 0, 0)
    assert shop.card(tag)["serial_state"] == state
    shop.ok("part", "describe", tag, "--serial", "71-40822")
    assert shop.card(tag)["serial_state"] is None
    assert "serial 71-40822" in shop.text("part", "find", "relay")
