"""Sets of injectors by command, on both engines."""

from __future__ import annotations

from typing import Any

import pytest


def test_a_set_by_command(shop: Any) -> None:
    tags = []
    for flow in (380, 381, 383, 392, 384, 382, 401):
        tag = shop.ok("part", "add", "--kind", "injector", "--part-number", "HV 9")["tag"]
        flowed = ("--pressure", "2bar", "--fluid", "test fluid", "--session", "march")
        shop.ok("bench", "run", "flow", tag, "--reading", f"static={flow}ml/min", *flowed)
        tags.append(tag)

    found = shop.ok("pairs", "set", "injector", "--size", "4")

    assert found["tags"] == [tags[place] for place in (0, 1, 5, 2)]
    assert (found["spread"], found["spread_unit"]) == (pytest.approx(3.0), "ml/min")
    assert any("march" in reason["says"] for reason in found["reasons"])
    two = shop.ok("pairs", "set", "injector", "--size", "3", "--count", "2")["sets"]
    assert [each["tags"] for each in two] == [[tags[0], tags[1], tags[5]], [tags[2], tags[4], tags[3]]]
    assert shop.ok("pairs", "set", "injector", "--size", "8")["tags"] == []
    assert shop.refused("pairs", "set", "relay", "--size", "4")["code"] == "no-flow-for-kind"


def test_flows_before_and_after_cleaning_do_not_compare(shop: Any) -> None:
    for flow, cleaned in ((380, "before"), (381, "after"), (382, "before"), (383, "after")):
        tag = shop.ok("part", "add", "--kind", "injector", "--part-number", "HV 9")["tag"]
        flowed = ("--pressure", "2bar", "--fluid", "test fluid", "--session", "march", "--cleaned", cleaned)
        shop.ok("bench", "run", "flow", tag, "--reading", f"static={flow}ml/min", *flowed)

    assert shop.ok("pairs", "set", "injector", "--size", "3")["tags"] == []
    assert shop.ok("pairs", "set", "injector", "--size", "2")["spread"] == pytest.approx(2.0)
    refused = shop.refused("bench", "run", "flow", tag, "--reading", "static=383ml/min", *flowed[:-1], "soon")
    assert refused["code"] == "no-cleaned"
