"""`seal reading`: how the engine ran, read beside how the part's cap was last seen."""

from __future__ import annotations

from tests.cli.conftest import Shop


def test_a_reading_has_its_keys_and_rests_on_the_last_look_at_the_cap(shop: Shop) -> None:
    tag = shop.part()
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact", "--on", "2026-03-01")
    looked = shop.ok("seal", "note", tag, "--seal", "cap", "--state", "missing", "--on", "2026-03-02")

    read = shop.ok(
        *("seal", "reading", tag, "--type", "two-screw", "--part-load", "unchanged", "--full-load", "leaner"),
        *("--checked", "fuel pressure", "--checked", "ignition"),
    )

    assert (read["tag"], read["type"], read["read"]) == (tag, "two-screw", True)
    assert read["disturbed"] == [{"load": "full load", "mixture": "leaner"}]
    assert "movements" not in read
    assert len(read["look_first"]) == 3
    assert [reason["facts"] for reason in read["reasons"] if reason["facts"]] == [[looked["fact"]]]


def test_people_read_the_caution_first_and_what_to_look_at_before_the_screws(shop: Shop) -> None:
    tag = shop.part()

    said = shop.text("seal", "reading", tag, "--type", "two-screw", "--part-load", "leaner", "--full-load", "leaner")

    assert said.startswith("CARE  Never hold full load")
    assert (
        said.index("Check first")
        < said.index("What follows")
        < said.index("a specialist can, with the reference charts")
    )


def test_the_type_is_asked_for(shop: Shop) -> None:
    said = shop.text("seal", "reading", shop.part())

    assert "does it have the full-load stop with two screws" in said
    assert "Read from it" not in said


def test_it_writes_nothing(shop: Shop) -> None:
    tag = shop.part()
    before = shop.entries()

    shop.ok("seal", "reading", tag, "--type", "two-screw", "--part-load", "richer")

    assert shop.entries() == before


def test_a_renewed_cap_with_its_paper_is_told_apart(shop: Shop) -> None:
    tag = shop.part()
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "renewed")

    said = shop.text("seal", "reading", tag)

    assert "without a specialist's paper nobody knows how they are set" in said


def test_what_is_no_pressure_sensor_is_refused(shop: Shop) -> None:
    relay = shop.part(kind="relay")

    assert shop.refused("seal", "reading", relay, "--type", "two-screw")["code"] == "no-adjuster"
    assert shop.refused("seal", "reading", shop.part(), "--type", "three")["code"] == "unknown-type-of-stop"
