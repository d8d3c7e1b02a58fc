"""The invented workshop's bench notes and its day of stripping."""

from __future__ import annotations

from datetime import date

import pytest

from demo_db.notebook import Reading, _reading, readings, strip_down
from demo_db.sources import all_parts, table
from inventory.bench.methods.sweep.run import parse_ways
from inventory.bench.quantities.readings import parse_meter, parse_named, parse_timed
from inventory.store.days.dates import parse_when

NOTES = readings()


def test_about_forty_runs_most_of_them_coils() -> None:
    holds = [note for note in NOTES if note.procedure == "hold"]
    coils = [note for note in NOTES if note.procedure == "resistance"]
    sweeps = [note for note in NOTES if note.procedure == "sweep"]
    assert len(holds) + len(coils) + len(sweeps) == len(NOTES) >= 40
    assert len(sweeps) == 2
    assert 5 <= len(holds) < len(coils) / 2


@pytest.mark.parametrize("note", NOTES, ids=lambda note: note.file)
def test_a_note_is_of_a_part_on_a_past_day_in_known_units(note: Reading) -> None:
    kinds = {(row["maker"], row["part number"], row["serial"]): row["kind"] for row in all_parts()}
    assert kinds[note.part.maker, note.part.part_number, note.part.serial] == "pressure sensor"
    assert note.file.startswith(note.on)
    assert parse_when(note.on).latest <= date(2026, 3, 31)
    if note.procedure == "hold":
        assert len(parse_timed(note.readings)) >= 2
        assert set(note.conditions) <= {
            "rig",
            "resolution",
            "strokes",
            "usual strokes",
            "volume",
            "ambient",
            "barometer",
        }
    elif note.procedure == "sweep":
        assert all(len(way.points) >= 5 for way in parse_ways(note.readings))
        assert set(note.conditions) == {"resolution", "frequency", "meter", "ambient", "barometer"}
    else:
        assert [reading.name for reading in parse_named(note.readings)] == ["primary", "secondary", "case"]
        assert parse_meter(note.conditions["meter"]).share > 0
        assert set(note.conditions) == {"meter", "ambient"}


def kept_at_ten_seconds(note: Reading) -> tuple[float, float]:
    """The least and the most that may have been kept of the vacuum after 10 s, each reading half a step out."""
    curve = {point.time_s: point.quantity.si for point in parse_timed(note.readings)}
    half = parse_timed([f"0s={note.conditions['resolution']}"])[0].quantity.si / 2
    return (curve[10] - half) / (curve[0] + half), (curve[10] + half) / (curve[0] - half)


def test_the_holds_pass_fail_and_leave_open() -> None:
    """The trade's rule: a tenth may be lost in 10 s (common practice, no source)."""
    kept = {(note.part.serial, note.on): kept_at_ten_seconds(note) for note in NOTES if note.procedure == "hold"}
    assert {key for key, (_, most) in kept.items() if most < 0.9} == {("71-40508", "2026-01-20")}
    open_ones = {key for key, (least, most) in kept.items() if least < 0.9 < most}
    assert open_ones == {("71-40822", "2026-03-11"), ("73-52230", "2026-01-31")}


def test_one_sweep_is_compared_with_the_other() -> None:
    sweeps = {note.part: note.reference for note in NOTES if note.procedure == "sweep"}
    (named,) = [reference for reference in sweeps.values() if reference]
    assert sweeps[named] is None
    assert all(part.part_number == named.part_number for part in sweeps)


def test_a_note_with_a_name_twice_is_not_read() -> None:
    text = "procedure: hold\npart: Ostrell / HV 204 118 / 1\non: 2026-01-01\non: 2026-01-02\nby: Ines\n"
    with pytest.raises(ValueError, match="twice"):
        _reading("note.txt", text)


def test_the_saturday() -> None:
    day = strip_down()
    assert date.fromisoformat(day.on).strftime("%A") == "Saturday"
    off = [line for line in day.lines if not line.stays]
    assert len(off) == 14
    assert [number for number, line in enumerate(day.lines, 1) if line.stays] == [11]
    assert [line.serial for line in off if line.correction] == ["2119"]
    assert off[8].correction is not None
    sensor, unit = off[-1], off[0]
    assert (sensor.part_number, sensor.serial, sensor.match_code) == ("HV 204 118", "71-40822", "K")
    assert (unit.kind, unit.match_code) == ("control unit", sensor.match_code)
    assert any("stud snapped" in line.car_side for line in off)


def test_the_saturday_follows_the_list_of_positions() -> None:
    day = strip_down()
    listed = {row["position"]: row for row in table("positions") if row["car"] == day.car}
    for line in day.lines:
        row = listed[line.position]
        assert (line.kind, line.maker, line.part_number) == (row["kind"], row["maker"], row["part number"])
        if not line.stays:
            assert "; ".join(line.fasteners) == row["fasteners"]
            assert "; ".join(line.connections) == row["connections"]
            assert "; ".join(line.mounts) == row["mounts"]
            assert line.axis == row["axis"]


def test_pictures_named_on_the_saturday_are_on_the_list() -> None:
    files = {row["file"] for row in table("pictures")}
    named = [photo for line in strip_down().lines for photo in line.photos]
    assert named
    assert set(named) <= files
