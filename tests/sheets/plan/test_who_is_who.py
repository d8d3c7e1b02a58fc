"""Next month's version of an owner's sheet: the same parts are found again, whatever was moved, sorted, sold or left out."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.condition_list.actions import condition_list
from inventory.parts.queries import lines_of
from inventory.sheets import Report
from inventory.sheets.plan.alike_rows import Told, alike_rows
from inventory.sheets.plan.on_record import PartState, Stated
from inventory.sheets.plan.part_cells import PartCells
from tests.sheets.conftest import Desk

HEAD = ["Unsere Nr.", "Art", "Hersteller", "Teilenummer", "Seriennummer", "Regal", "Wert (EUR)", "Bemerkung"]
SENSOR = ["14", "Drucksensor", "Ostrell", "HV 204 118", "71-40822", "A", "850,00", ""]
RELAY = ["15", "Relais", "Tolvranne", "HV 332 014", "", "A", "40,00", ""]
OTHER = ["16", "Relais", "Tolvranne", "HV 332 014", "", "A", "40,00", ""]
#: The same without numbers of the keeper's own and without serials.
PLAIN = ["Art", "Hersteller", "Teilenummer", "Regal", "Wert (EUR)"]


def counts(report: Report) -> tuple[int, int, int, int]:
    return report.added, report.changed, report.unchanged, report.refused


def changes(report: Report) -> list[list[tuple[str, str | None, str]]]:
    return [[(each.column, each.old, each.new) for each in row.changes] for row in report.rows if row.changes]


def asked(report: Report) -> list[str]:
    return [each.key for each in report.questions]


def read(desk: Desk, rows: Sequence[Sequence[str]], name: str = "Inventar 2026-01.csv", **options: Any) -> Report:
    return desk.read(desk.csv(rows, name), **options)


def total(desk: Desk) -> Decimal:
    return sum((Decimal(desk.card(tag)["values"][-1].values["amount"]) for tag in desk.tags()), Decimal(0))


def test_a_number_of_the_keepers_own_is_kept_and_found_and_matches_next_month(desk: Desk) -> None:
    read(desk, [HEAD, SENSOR, RELAY, OTHER])
    tags = desk.tags()
    moved = [*RELAY[:5], "B", "45,00", "Kontakte blank"]
    with_serial = [*OTHER[:4], "9-113", *OTHER[5:]]

    report = read(desk, [HEAD, moved, with_serial, SENSOR], "Inventar 2026-02.csv")

    assert (counts(report), desk.tags()) == ((0, 2, 1, 0), tags)
    assert [[column for column, _, _ in row] for row in changes(report)] == [["place", "value", "notes"], ["serial"]]
    (number,) = desk.card(next(row.what for row in report.rows if row.verdict == "unchanged"))["own_numbers"]
    assert (number.values["number"], number.values["given_in"]) == ("14", "Unsere Nr.")
    with desk.record.read() as session:
        assert sorted(line.kind for line in lines_of(session)) == ["pressure sensor", "relay", "relay"]


def test_number_14_of_one_list_is_not_14_of_another(desk: Desk) -> None:
    read(desk, [HEAD, SENSOR, RELAY])
    wrong = read(
        desk, [HEAD, ["14", "Relais", *RELAY[2:]], RELAY], "other.csv", trial=True, rejects=desk.folder / "r.xlsx"
    )
    assert ["Unsere Nr. 14" in each.problem for each in wrong.problems] == [True]

    other = read(desk, [["Inv.", *HEAD[1:]], ["14", "Relais", "Murnebeck", *["", "", "C", "5,00", ""]]], "other.csv")

    assert counts(other) == (1, 0, 0, 0)


def test_a_column_that_counts_the_rows_matches_nothing(desk: Desk) -> None:
    rows = [["Relais", "Tolvranne", f"HV {number}", "A", "40,00"] for number in range(4)]
    read(desk, [["lfd. Nr.", *PLAIN], *([str(place), *row] for place, row in enumerate(rows, 1))])

    sorted_anew = [[str(place), *row] for place, row in enumerate(reversed(rows), 1)]
    report = read(desk, [["lfd. Nr.", *PLAIN], *sorted_anew], "Inventar 2026-02.csv")

    assert counts(report) == (0, 0, 4, 0)
    assert any("only counts the rows" in each for each in report.remarks)
    assert {card.line.extra["lfd. Nr."] for card in map(desk.card, desk.tags())} == {"1", "2", "3", "4"}


def test_a_label_under_either_header_is_a_tag_and_other_texts_under_labels_are_numbers(desk: Desk) -> None:
    read(desk, [HEAD, SENSOR])
    tag = desk.only()

    under_number = read(desk, [HEAD, [tag, *SENSOR[1:4], "", *SENSOR[5:]]], "b.csv")
    labels = read(desk, [["Etikett", *PLAIN], ["R 7", *RELAY[1:4], "B", "1,00"]], "c.csv")

    assert (counts(under_number), counts(labels)) == ((0, 0, 1, 0), (1, 0, 0, 0))
    assert {card["own_numbers"][0].values["number"] for card in map(desk.card, desk.tags())} == {"14", "R 7"}


@pytest.mark.parametrize("name", ["Inventar 2026-02.csv", "copy of my list.csv"])
def test_a_moved_shelf_is_a_move(desk: Desk, name: str) -> None:
    rows = [["Relais", "Tolvranne", "HV 332 014", shelf, "40,00"] for shelf in ("A", "A", "B")]
    read(desk, [PLAIN, *rows])
    before = total(desk)

    report = read(desk, [PLAIN, [*rows[0][:3], "C", "40,00"], [*rows[0][:3], "C", "40,00"], rows[2]], name)

    assert (counts(report), total(desk)) == ((0, 2, 1, 0), before)
    assert changes(report) == [[("place", "A", "C")]] * 2
    desk.again(desk.csv([PLAIN, [*rows[0][:3], "C", "40,00"], [*rows[0][:3], "C", "40,00"], rows[2]], "again.csv"))


def test_where_several_parts_may_be_meant_it_is_asked_once(desk: Desk) -> None:
    rows = [["Relais", "Tolvranne", "HV 332 014", shelf, "40,00"] for shelf in ("A", "B")]
    read(desk, [PLAIN, *rows])
    next_month = [PLAIN, *([*rows[0][:3], shelf, "40,00"] for shelf in ("C", "D", "E"))]

    trial = read(desk, next_month, "next.csv", trial=True, rejects=desk.folder / "r.xlsx")
    (key,) = asked(trial)
    moved = read(desk, next_month, "next.csv", trial=True, said={key: "same"})
    another = read(desk, next_month, "next.csv", trial=True, said={key: "another"})

    assert (counts(trial), counts(moved), counts(another)) == ((0, 0, 0, 3), (1, 2, 0, 0), (3, 0, 0, 0))


def test_words_in_the_place_of_a_serial_are_no_serial(desk: Desk) -> None:
    rows = [[*RELAY[1:4], serial, "A", "40,00"] for serial in ("?", "k.A.", "n/c", "abgewetzt", "abgewetzt", "n/c")]
    head = [*HEAD[1:6], HEAD[6]]

    report = read(desk, [head, *rows])

    assert (report.added, report.refused) == (6, 0)
    desk.again(desk.csv([head, *rows], "again.csv"))


def test_only_zeros_gone_is_asked_and_nothing_is_changed(desk: Desk) -> None:
    head = [*HEAD[1:6], HEAD[6]]
    row = ["Drucksensor", "Ostrell", "0 280 100 112", "00147", "A", "850,00"]
    read(desk, [head, row])
    eaten = [head, ["Drucksensor", "Ostrell", "280100112", "147", "A", "850,00"]]

    trial = read(desk, eaten, "eaten.csv", trial=True)
    another = read(desk, eaten, "eaten.csv", trial=True, said={"zeros/147": "another"})

    assert (asked(trial), counts(trial), counts(another)) == (["zeros/147"], (0, 0, 1, 0), (1, 0, 0, 0))
    assert "00147" in trial.questions[0].says
    assert any("lacks only zeros" in each for each in trial.remarks)


def test_rows_that_are_gone_are_listed_and_left_unless_somebody_says_so(desk: Desk) -> None:
    rows = [[str(number), "Relais", "Tolvranne", f"HV {number}", "", "A", "40,00", ""] for number in range(1, 7)]
    read(desk, [HEAD, *rows], on="2026-02-03")
    with desk.record.read() as session:
        tag = next(line.tag for line in lines_of(session) if line.part_number == "HV 6")
    key = f"gone/parts/{tag.casefold()}"

    trial = read(desk, [HEAD, *rows[:5]], "Inventar 2026-03.csv", trial=True)
    assert (asked(trial), trial.questions[0].taken) == ([key], "left")
    assert [each for each in trial.remarks if "gone since 2026-02-03" in each and tag in each]
    few = read(desk, [HEAD, *rows[:2]], "Inventar 2026-03.csv", trial=True)
    assert (asked(few), [each for each in few.remarks if "4 of the 6 parts" in each] != []) == ([], True)

    read(desk, [HEAD, *rows[:5]], "Inventar 2026-03.csv", said={key: "gone: sold 2023"})

    (left,) = desk.card(tag)["provenance"]
    assert (left.values["how"], left.on, left.how_known) == ("sold", "2023", "written in a sheet")
    assert asked(read(desk, [HEAD, *rows[:5]], "Inventar 2026-04.csv")) == []


@pytest.mark.parametrize(
    ("header", "text", "day"),
    [("Bemerkung", "verkauft 3/2022", "2022-03"), ("Regal", "SOLD 2023", "2023"), ("Status", "vendu le 12.03.2021", "2021-03-12"), ("Verkauft am", "2020", "2020")],
)  # fmt: skip
def test_sold_is_understood_as_leaving(desk: Desk, header: str, text: str, day: str) -> None:
    head = HEAD if header in HEAD else [*HEAD, header]
    row = [*SENSOR, ""][: len(head)]
    row[head.index(header)] = text

    report = read(desk, [head, row, RELAY])

    card = next(card for card in map(desk.card, desk.tags()) if card.line.serial)
    (left,) = card["provenance"]
    assert (left.values["how"], left.on, left.how_known, card.line.gone) == ("sold", day, "written in a sheet", "sold")
    assert (report.refused, card.line.place, card.line.extra.get("Regal before")) == (
        0,
        None,
        None if header == "Regal" else "A",
    )
    assert not card.contradictions
    desk.again(desk.csv([head, row, RELAY], "again.csv"))
    assert desk.fits()


def test_sold_in_the_middle_of_a_cell_is_asked_about(desk: Desk) -> None:
    row = [*SENSOR[:7], "runs well, sold 2023 to a friend"]
    trial = read(desk, [HEAD, row], trial=True)
    (question,) = trial.questions

    read(desk, [HEAD, row], said={question.key: "sold"})

    assert (question.taken, desk.card().line.gone) == ("text", "sold")


PART = st.tuples(
    st.sampled_from(["relay", "pressure sensor"]),
    st.sampled_from(["HV 1", "0 280", None]),
    st.sampled_from(["A", "B", "C", None]),
    st.sampled_from(["40", "85"]),
)


@settings(max_examples=40, deadline=None)
@given(st.lists(PART, min_size=1, max_size=9), st.randoms(use_true_random=False))
def test_next_months_version_adds_nothing_and_keeps_the_total(
    parts: list[tuple[str, str | None, str | None, str]], chance: Random
) -> None:
    """Shuffled, and with other shelves; parts and their values are those of the sheet."""
    known = [
        PartState(
            key, f"T{key}", kind, part_number=number, place=place, values=[Stated(key, value, "EUR", "market", "")]
        )
        for key, (kind, number, place, value) in enumerate(parts, 1)
    ]
    rows = [
        PartCells(kind=kind, part_number=number, place=chance.choice([place, "D", "E"]), value=(value, "EUR"))
        for kind, number, place, value in parts
    ]
    chance.shuffle(rows)

    found = alike_rows(rows, known, Told(frozenset(range(1, len(parts) + 1))))

    keys = [match.part_id for match in found if match.problem is None]
    assert None not in keys and len(set(keys)) == len(keys)
    after = {key: Decimal(part[3]) for key, part in enumerate(parts, 1)}
    after |= {match.part_id or 0: Decimal((row.value or ("0", ""))[0]) for row, match in zip(rows, found, strict=True)}
    if not any(match.problem for match in found):
        assert sum(after.values()) == sum(Decimal(part[3]) for part in parts)


@pytest.mark.parametrize("text", ["SOLD 2023", "verkauft 3/2022", "sold"])
@pytest.mark.parametrize(
    ("header", "cell"), [("Eigner", "Kunde"), ("Kaufpreis (EUR)", "25,00"), ("gekauft bei", "Meier")]
)
def test_what_a_sheet_says_of_a_coming_without_a_day_brings_nothing_back(
    desk: Desk, text: str, header: str, cell: str
) -> None:
    head, row = [*HEAD, header], [*SENSOR[:7], text, cell]
    bare = [*SENSOR[:7], text, ""]

    read(desk, [head, bare, ["15", *RELAY[1:7], text, cell]])
    assert [desk.card(tag).line.gone for tag in desk.tags()] == ["sold", "sold"]
    read(desk, [head, row, ["15", *RELAY[1:7], text, cell]], "Inventar 2026-02.csv")

    assert [desk.card(tag).line.gone for tag in desk.tags()] == ["sold", "sold"]
    assert counts(read(desk, [head, row, ["15", *RELAY[1:7], text, cell]], "Inventar 2026-03.csv")) == (0, 0, 2, 0)
    with desk.record.read() as session:
        assert condition_list(session).items == ()
    assert desk.fits()
