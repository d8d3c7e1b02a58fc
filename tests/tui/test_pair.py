"""Pair: candidates, grade, reasons, next step, the plan and what is left over."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.bench import actions as bench
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.store.record import Record


@pytest.mark.parametrize("size", [(80, 24), (160, 50), (60, 30)])
def test_pairs_show_grade_sentence_and_reasons(browse: Any, shop: dict[str, str], size: tuple[int, int]) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("pair")
        await walk.settle()
        text = walk.text()
        assert f"{shop['sensor']} with {shop['unit']}" in text
        assert "CONFIRMED" in text
        assert "codes read on both, equal" in " ".join(text.split())
        await walk.press("right")
        assert "HV 204 118 and HV 310 118 fit" in " ".join(walk.text().split())

    browse(walked, size)


def test_plan_names_what_is_left_over(browse: Any, shop: dict[str, str], record: Record) -> None:
    with record.write() as session:
        lone = parts.add_part(session, "Ines", Markings("pressure sensor", "Ostrell", "HV 999", match_code="Z"))

    async def walked(walk: Any) -> None:
        walk.frame.go_to("pair")
        await walk.settle()
        await walk.press("tab", "tab")
        assert "1 part left over" in walk.text()
        assert lone in walk.text()
        assert f"{lone} is left over" in walk.text()
        await walk.press("down")
        assert f"{shop['sensor']} with {shop['unit']}" in walk.text()

    browse(walked)


def test_label_asks_for_its_mates(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("pair")
        await walk.settle()
        await walk.answer(shop["unit"])
        assert f"Mates of {shop['unit']}: 1 confirmed" in walk.text()
        await walk.press("enter")
        assert walk.view.where() == f"Part {shop['sensor']}"

    browse(walked)


def test_kind_without_pairs_is_said(browse: Any, shop: dict[str, str], record: Record) -> None:
    with record.write() as session:
        relay = parts.add_part(session, "Ines", Markings("relay"))

    async def walked(walk: Any) -> None:
        walk.frame.go_to("pair")
        await walk.settle()
        await walk.answer(relay)
        assert f"{relay} is a relay: only a pressure sensor and a control unit go in pairs." in walk.text()

    browse(walked)


def test_plan_stands_between_what_is_left_over_and_parts_are_kept_back_and_let_go(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    with record.write() as session:
        lone = parts.add_part(session, "Ines", Markings("control unit", "Halvard", "HV 310 118", match_code="Z"))

    async def walked(walk: Any) -> None:
        walk.frame.go_to("pair")
        await walk.settle()
        await walk.press("tab", "tab")
        rows = [row for row in walk.shown() if lone in row or shop["sensor"] in row]
        assert "confirmed" in rows[0]
        assert f"{'':<8} {lone}  left over" in "\n".join(rows)
        assert f"1 reserve {shop['sensor']} 2 reserve {shop['unit']}" in " ".join(walk.text().split())

        await walk.answer("2")
        assert walk.said == f"{shop['unit']} is reserved. Ctrl+Z takes it back."
        assert "Plan: none; 3 parts left over" in walk.text()
        assert f"{shop['sensor']} is left over" in walk.text()
        assert "reserved" in walk.text()
        await walk.press("down")
        if walk.view._rows.item.tags != (lone,):  # the two units stand in the order of their labels
            await walk.press("down")
        text = " ".join(walk.text().split())
        assert f"{lone} is left over" in text
        assert "look out for pressure sensor" in text

        await walk.press("up")
        item = walk.view._rows.item
        await walk.answer("1")
        assert walk.said == f"{item.tags[0]} {'is released' if item.reserved else 'is reserved'}. Ctrl+Z takes it back."

    browse(walked)


@pytest.mark.parametrize("size", [(80, 24), (160, 50), (60, 30)])
def test_injectors_in_sets(browse: Any, record: Record, size: tuple[int, int]) -> None:
    tags = []
    for flow in (380, 381, 383, 392, 384, 382, 401):
        with record.write() as session:
            tag = parts.add_part(session, "Ines", Markings("injector", part_number="HV 9"))
            conditions = {"pressure": "2 bar", "fluid": "test fluid", "session": "march"}
            bench.run(session, "Ines", tag, "flow", [f"static={flow}ml/min"], conditions)
        tags.append(tag)

    async def walked(walk: Any) -> None:
        walk.frame.go_to("pair")
        await walk.settle()
        await walk.press("tab", "tab", "tab")
        assert "They differ by 12 ml/min" in walk.text()
        await walk.answer("3 2")
        assert "set 2" in walk.text()
        assert "They differ by 2 ml/min" in walk.text()
        await walk.press("right")
        assert "march" in " ".join(walk.text().split())
        await walk.answer("4")
        assert "next best" in walk.text()
        await walk.press("down")
        assert "NEXT BEST" in walk.text()
        await walk.answer("8")
        assert "No set of 8" in " ".join(walk.text().split())

    browse(walked, size)


def test_a_failed_test_stands_beside_the_grade(browse: Any, shop: dict[str, str], record: Record) -> None:
    with record.write() as session:
        blank = {"blank": ["0s=50cmHg", "10s=50cmHg"]}
        bench.run(session, "Ines", shop["sensor"], "hold", ["0s=50cmHg", "10s=37cmHg"], blank)

    async def walked(walk: Any) -> None:
        walk.frame.go_to("pair")
        await walk.settle()
        text = " ".join(walk.text().split())
        assert "confirmed, failed" in text
        assert "belong together; sensor failed the hold on" in text
        assert f"have sensor {shop['sensor']} repaired by a specialist" in text
        await walk.press("tab", "tab")
        assert "Plan: 1 confirmed; in 1 of these pairs a part failed a test; 0 parts left over" in walk.text()

    browse(walked, (160, 50))


@pytest.mark.parametrize("text", ["-", "[/] K or", "K" * 300])
def test_any_text_as_code_number_or_serial_passes_every_view(
    browse: Any, shop: dict[str, str], record: Record, text: str
) -> None:
    with record.write() as session:
        sensor, unit = (
            parts.add_part(session, "Ines", Markings(kind, "Ostrell", text, text, match_code=text))
            for kind in ("pressure sensor", "control unit")
        )

    async def walked(walk: Any) -> None:
        for view in ("today", "find", "pair", "bench", "worth"):
            walk.frame.go_to(view)
            await walk.settle()
        walk.frame.go_to("pair")
        await walk.settle()
        await walk.press("tab", "tab", "right")
        for tag in (sensor, unit):
            walk.frame.go_to("find")
            await walk.settle()
            await walk.answer(tag)
            assert walk.view.where() == f"Part {tag}"
            await walk.press("right", "down")

    browse(walked)
