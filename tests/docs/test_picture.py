"""The picture of the README is the browser as it is today, and needs nothing but itself to be shown."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

from tests.docs.picture import PICTURE, drawn

SVG = "{http://www.w3.org/2000/svg}"


def structure(text: str) -> list[tuple[object, ...]]:
    """What stands where: each shape and text with its place, colours left out."""
    return [
        (
            each.tag.removeprefix(SVG),
            *(each.get(name) for name in ("x", "y", "width", "height", "font-weight")),
            each.text,
        )
        for each in ElementTree.fromstring(text)
    ]


def test_the_picture_of_the_readme_is_the_browser_of_today(tmp_path: Path) -> None:
    kept = PICTURE.read_text(encoding="utf-8")
    words = [str(shape[-1]) for shape in structure(kept) if shape[0] == "text"]

    assert structure(drawn(tmp_path)) == structure(kept), "draw it anew: python -m tests.docs.picture"
    assert any("71-40822" in text for text in words)
    assert "CONFIRMED" in words


def test_it_names_no_font_and_points_to_nothing_outside() -> None:
    root = ElementTree.parse(PICTURE).getroot()

    assert {each.tag for each in root} == {f"{SVG}rect", f"{SVG}text"}
    assert (root.get("font-family"), root.find("[@style]")) == ("monospace", None)
    assert {name for each in root for name in each.attrib} == {
        "x", "y", "width", "height", "fill", "stroke", "textLength", "font-weight",
    }  # fmt: skip
    assert "://" not in PICTURE.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
