"""The plan and the strip-down on paper. Outside check: pypdf and pypdfium2 read back what fpdf2 wrote."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pypdfium2
from PIL import Image

from inventory.printed.write_paper import LEAST, Paper
from inventory.refit.jobs import JobLine
from inventory.refit.order import Before
from inventory.refit.plan import RefitPlan, Step, plan_in_order
from inventory.refit.write_sheets import _COLUMNS, plan_paper, strip_down_paper
from tests.cli.conftest import Shop

CARE = "CARE Cap off the open hose end only now."


def text_of(held: bytes) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(held)]


def many(count: int) -> RefitPlan:
    steps = tuple(
        Step(
            f"removal-{number}", f"place {number}", tag=f"K{number:04}-7", part="relay TR 12", bag=str(number),
            fasteners=("3x M6x20 hex",), care=(CARE,), checks=("heater hose was moved: no leak?",) * 3,
        )
        for number in range(count)
    )  # fmt: skip
    return plan_in_order(RefitPlan("Green tourer", 1, steps, (JobLine("job-1", 1, "clip the loom", "place 3"),)), [])


def test_every_step_is_on_the_paper_once_in_the_list_and_once_in_full_with_its_care_line_above() -> None:
    held = plan_paper(many(40), "1 March 2026").content()
    pages = text_of(held)

    for number in range(40):
        assert sum(page.count(f"K{number:04}-7") for page in pages) == 2
    (full,) = [page for page in pages if "4 K0003-7" in page and CARE in page]
    lines = full.splitlines()
    heading = next(place for place, line in enumerate(lines) if "4 K0003-7" in line)
    assert lines[heading - 1] == CARE
    assert any("Job: clip the loom" in line for line in lines[:heading])
    assert f"page {len(pages)} of {len(pages)}" in pages[-1]
    assert [page.extract_text().count("Refit: Green tourer") for page in pypdf.PdfReader(io.BytesIO(held)).pages] == [
        1
    ] * len(pages)


def test_a_circle_and_words_of_any_length_fit_the_page() -> None:
    long = "over the brake pipe and through the upper hole first, " * 60
    steps = (Step("removal-1", "rail " * 30, tag="K4127-7", route=long), Step("removal-2", "horn"))
    said = [Before("removal-1", "removal-2", "a-1", "one"), Before("removal-2", "removal-1", "a-2", "other")]
    pages = pypdfium2.PdfDocument(plan_paper(plan_in_order(RefitPlan("Green tourer", 1, steps), said), "").content())

    assert "CIRCLE" in pages[0].get_textpage().get_text_range()
    for page in pages:
        width, height = page.get_size()
        text = page.get_textpage()
        for place in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(place)
            assert 0 < left < right < width
            assert 0 < bottom < top < height


def test_the_strip_down_is_printed_as_it_was_logged_with_its_pictures_small(file_shop: Shop, tmp_path: Path) -> None:
    Image.new("RGB", (1600, 1200), "red").save(tmp_path / "wing.jpg")
    (tmp_path / "broken.jpg").write_bytes(b"\xff\xd8\xff half a picture")
    shop = file_shop
    shop.ok("car", "add", "Green tourer")
    assert shop.refused("teardown", "paper", "Green tourer", "-o", "off.pdf")["code"] == "nothing-came-off"
    shop.ok("car", "position", "Green tourer", "inner wing", "--axis", "across", "--mounts", "3x grommet")
    shop.ok("teardown", "begin", "Green tourer")
    tag = shop.ok("teardown", "log", "--kind", "pressure sensor", "--serial", "71-40822", "--position", "inner wing",
                  "--axis", "along", "--bag", "7", "--fastener", "3x M6x20 hex", "--moved", "heater hose",
                  "--note", "came off hard", "--photo", str(tmp_path / "wing.jpg"),
                  "--photo", str(tmp_path / "broken.jpg"))["part"]["tag"]  # fmt: skip
    shop.ok("teardown", "stays", "tank", "--why", "not needed off")
    shop.ok("teardown", "close")
    shop.ok("refit", "fit", tag, "--position", "inner wing", "--override", "to try it")
    target = tmp_path / "off.pdf"

    assert shop.ok("teardown", "paper", "Green tourer", "-o", str(target))["pages"] == 2
    first, second = text_of(target.read_bytes())
    assert tag in first and "bag 7" in first and "tank: not needed off" in first
    for said in (
        "fore-and-aft (as found)",
        "3x M6x20 hex",
        "heater hose",
        "serial 71-40822",
        "came off hard",
        "wing.jpg",
    ):
        assert said in second
    assert "grommet" not in second, "what only the list says was not logged"
    (image,) = pypdf.PdfReader(target).pages[1].images
    assert max(Image.open(io.BytesIO(image.data)).size) == 640
    assert shop.refused("teardown", "paper", "Green tourer", "-o", str(target))["code"] == "file-exists"
    plan = shop.ok("refit", "plan", "Green tourer", "-o", str(tmp_path / "plan.pdf"))
    assert plan["steps"][0]["tag"] == tag


def test_a_paper_without_pictures_needs_none() -> None:
    assert len(text_of(strip_down_paper("Green tourer", "", [(Step("removal-1", "wing"), ())], [], {}).content())) == 2


def test_a_day_in_words_stands_on_one_line_of_the_paper() -> None:
    paper, width = Paper("Refit", ""), _COLUMNS[-1] - 2
    paper.add_page()
    assert paper.height("on, 27 September 2026", LEAST, width, 2) == paper.height("on", LEAST, width, 2)
