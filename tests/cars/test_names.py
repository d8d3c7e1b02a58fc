"""Renaming a car or position, and taking away one made by mistake: journaled, undone, refused while in use."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inventory.cars import actions as cars
from inventory.cars import write_names as names
from inventory.cars.queries import car_named, positions
from inventory.cars.queries import cars as all_cars
from inventory.cars.undone import ABOUT
from inventory.declared import DECLARED
from inventory.errors import NearName, Refused, UnknownName
from inventory.facts import change
from inventory.facts.things import find_thing, kinds_of_thing
from inventory.parts.markings import Markings
from inventory.parts.queries import lines, part_row
from inventory.refit import write_jobs
from inventory.sheets import SheetRefused, read_sheet
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.teardown.load_open_cars import any_car
from inventory.teardown.queries import open_strip_downs
from inventory.verification import verify
from tests.build import BY

CAR = "Green tourer"


def act(record: Record, does: Callable[..., Any], *values: object, **named: object) -> Any:
    with record.write() as session:
        return does(session, BY, *values, **named)


def shown(record: Record) -> list[tuple[str, tuple[str, ...]]]:
    with record.read() as session:
        return [(view.name, view.behind) for view in positions(session, car_named(session, CAR).id)]


def test_a_renamed_position_keeps_its_parts_and_taking_it_back_brings_the_old_name(record: Record) -> None:
    act(record, cars.add_car, CAR)
    act(record, cars.list_position, CAR, "left wnig", cars.Listing(1, "relay"))
    act(record, cars.list_position, CAR, "loom", cars.Listing(3))
    act(record, cars.list_position, CAR, "air horn", cars.Listing(2, behind="left wnig; loom"))
    act(record, teardown.begin, CAR)
    tag = act(record, teardown.log, Markings("relay"), ComingOff(position="left wnig")).tag
    fact = act(record, names.rename_position, CAR, "left wnig", "left wing")
    assert shown(record) == [("left wing", ()), ("air horn", ("left wing", "loom")), ("loom", ())]
    act(record, names.rename_position, CAR, "left wing", "left wing, front")
    with record.read() as session:
        assert lines(session, [part_row(session, tag).id])[0].position == "left wing, front"
        assert any_car(session)
    with pytest.raises(Refused) as refused:
        act(record, names.rename_position, CAR, "air horn", "LEFT WING, FRONT")
    assert refused.value.code == "position-known"
    with pytest.raises(Refused) as refused:
        act(record, names.remove_position, CAR, "left wing, front", "typo")
    assert (refused.value.code, "removal-1" in refused.value.message) == ("position-in-use", True)
    act(record, change.withdraw, "position_description-2", "no")
    act(record, change.withdraw, fact, "no")
    assert shown(record)[0][0] == "left wnig"
    assert verify(record).ok


def test_a_position_is_listed_while_a_fact_of_any_kind_points_to_it(record: Record) -> None:
    pointing = {
        (kind.table.__tablename__, key.parent.name)
        for kind in DECLARED.facts
        for key in kind.table.__table__.foreign_keys
        if key.column.table.name == "position"
    }
    assert pointing <= set(ABOUT)
    act(record, cars.add_car, CAR)
    act(record, cars.list_position, CAR, "sump", cars.Listing(1, "relay"))
    job = act(record, write_jobs.add_job, CAR, "clip the loom", before="sump")
    act(record, change.withdraw, "position_listing-1", "wrong list")
    assert shown(record) == [("sump", ())]
    act(record, change.withdraw, job, "done with the other")
    assert shown(record) == []


def test_a_name_taken_away_is_free_and_comes_back_only_while_it_is(record: Record) -> None:
    act(record, cars.add_car, CAR)
    act(record, cars.list_position, CAR, "sump", cars.Listing(1, "relay"))
    gone = act(record, names.remove_position, CAR, "sump", "typed twice")
    assert shown(record) == []
    again = act(record, cars.list_position, CAR, "Sump", cars.Listing(1, "relay"))
    with pytest.raises(Refused) as refused:
        act(record, change.withdraw, gone, "it was one")
    assert refused.value.code == "position-known"
    act(record, names.rename_position, CAR, "Sump", "tunnel")
    act(record, change.withdraw, gone, "it was one")
    assert [name for name, _ in shown(record)] == ["sump", "tunnel"]
    assert again
    assert verify(record).ok


def test_a_car_is_renamed_and_taken_away_only_while_nothing_points_to_it(record: Record) -> None:
    act(record, cars.add_car, "Green tuorer")
    act(record, names.rename_car, "green tuorer", CAR)
    act(record, names.remove_car, CAR, "typed twice")
    with record.read() as session:
        assert (all_cars(session), any_car(session)) == ([], False)
    act(record, cars.add_car, CAR)
    act(record, teardown.begin, CAR)
    act(record, teardown.log, Markings(kind="relay"), ComingOff(), car=CAR)
    with pytest.raises(Refused) as refused:
        act(record, names.remove_car, CAR, "typo")
    assert (refused.value.code, "(removal-1)" in refused.value.message) == ("car-in-use", True)
    act(record, change.withdraw, "removal-1", "typo")
    gone = act(record, names.remove_car, CAR, "typo")  # the strip-down that is left goes with it
    with record.read() as session:
        assert open_strip_downs(session) == []
    act(record, change.withdraw, gone, "it was one")
    act(record, names.remove_car, CAR, "typo")
    with pytest.raises(Refused):
        act(record, change.add, "mistake", CAR, {"why": "x"})
    assert verify(record).ok


def test_a_name_from_before_leads_to_the_name_of_today_at_every_door(record: Record, tmp_path: Path) -> None:
    act(record, cars.add_car, CAR)
    act(record, cars.list_position, CAR, "left wing", cars.Listing(1, "relay"))
    act(record, teardown.begin, CAR)
    tag = act(record, teardown.log, Markings("relay"), ComingOff(position="left wing")).tag
    act(record, names.rename_position, CAR, "left wing", "bulkhead")
    with pytest.raises(NearName) as near:
        act(record, cars.list_position, CAR, "Left Wing", cars.Listing(1, "relay"))
    assert near.value.near == ["bulkhead"]
    with pytest.raises(Refused) as refused, record.read() as session:
        find_thing(session, "left wing", kinds_of_thing(session, "position"))
    assert (refused.value.code, refused.value.hint) == ("position-without-car", 'write "CAR/left wing"')
    sheets = (f"tag,car,position\n{tag},{CAR},left wing\n", f"car,position,kind\n{CAR},left wing,relay\n")
    for sheet in sheets:
        assert 'the position "left wing" is called "bulkhead" today' in _why_refused(record, tmp_path, sheet)
    act(record, names.rename_car, CAR, "Ottilie")
    with record.read() as session, pytest.raises(UnknownName) as unknown:
        car_named(session, CAR)
    assert unknown.value.near == ["Ottilie"]
    for sheet in sheets:
        assert f'the car "{CAR}" is called "Ottilie" today' in _why_refused(record, tmp_path, sheet)
    with pytest.raises(NearName):
        act(record, cars.add_car, CAR)


def _why_refused(record: Record, folder: Path, sheet: str) -> str:
    path = folder / "sheet.csv"
    path.write_text(sheet, encoding="utf-8")
    with pytest.raises(SheetRefused) as refused:
        read_sheet(record, path, BY, strict=True)
    return " ".join(each["problem"] for each in refused.value.report.as_dict()["problems"])
