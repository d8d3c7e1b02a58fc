"""The drawn pictures: as many as the sheet says, of one size, the same every time, no two alike."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from demo_db.pictures import SIZE, draw_all
from demo_db.sources import all_parts, table


def test_pictures_are_drawn_alike_every_time(tmp_path: Path) -> None:
    once, again = tmp_path / "once", tmp_path / "again"
    once.mkdir()
    again.mkdir()
    drawn = draw_all(once)
    assert [path.name for path in drawn] == [row["file"] for row in table("pictures")]
    for path, other in zip(drawn, draw_all(again), strict=True):
        assert path.read_bytes() == other.read_bytes()
        with Image.open(path) as picture:
            assert picture.size == SIZE
            assert picture.format == "PNG"
    assert len({path.read_bytes() for path in drawn}) == len(drawn)


def test_pictures_are_of_parts_and_cars_on_record() -> None:
    parts = {(row["maker"], row["part number"], row["serial"]) for row in all_parts()}
    cars = {row["car"] for row in table("cars")}
    for row in table("pictures"):
        assert row["car"] in cars if row["car"] else (row["maker"], row["part number"], row["serial"]) in parts
        assert row["shows"] in {"whole", "marking", "damage", "seal", "paper"}


def test_papers_named_behind_seals_are_drawn() -> None:
    papers = {row["file"] for row in table("pictures") if row["shows"] == "paper"}
    assert {row["document"] for row in table("seals")} - {""} == papers
