"""The first start in the browser: from Today, one digit a check, and what is not good in words."""

from __future__ import annotations

from typing import Any

from inventory.first_start.queries import first_start
from inventory.parts.markings import Markings
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from tests.build import BY, CAR, make_car


def test_the_checks_are_answered_from_today_and_what_is_not_good_stays_next(browse: Any, record: Record) -> None:
    car = make_car(record)
    with record.write() as session:
        teardown.begin(session, BY, CAR)
        tag = teardown.log(session, BY, Markings(kind="relay"), ComingOff(position="wing")).tag
        teardown.fit(session, BY, tag, "wing")

    async def walked(walk: Any) -> None:
        await walk.until(lambda: "first start: 0 of 9 checks done" in walk.text())
        await walk.answer("2")
        assert "CARE  Leaks first" in walk.text()
        await walk.answer("1")
        await walk.answer("2")
        assert walk.said == "Say what is not good: 2 drops at injector 2."
        await walk.answer("2 drops at injector 2")
        assert "How is it: leaks?" in walk.text()
        await walk.answer("1 dry")
        assert "CARE  Exhaust gas" in walk.text()
        await walk.press("down")
        await walk.answer("1")
        assert "earths: good. Not done before it: ignition." in walk.said

    browse(walked)
    with record.read() as session:
        now = first_start(session, car)
    assert now is not None
    assert [step.name for step in now.steps if step.done] == ["extinguisher", "leaks", "earths"]
