"""What counts of a seal and of a letter: small cases, and the properties that hold in any order of facts."""

from __future__ import annotations

import itertools
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.contradictions.judgements import OnPart, judged
from inventory.contradictions.letters import letter_of
from inventory.contradictions.seals import seals_of
from inventory.parts.judgements import worst_seal, worst_state

_numbers = itertools.count(1)
_BETTER = ("missing", "disturbed", "not seen", "renewed", "intact")


def fact(on: str, how_known: str = "seen", **values: Any) -> Any:
    number = next(_numbers)
    moment = f"2027-01-01T10:{number // 60 % 60:02d}:{number % 60:02d}.{number:06d}"
    days = {"counts_from": on, "so_from": on, "earliest": on, "latest": on, "ranked": moment, "recorded": moment}
    return SimpleNamespace(id=number, thing_id=1, how_known=how_known, **days, **values)


def look(on: str, state: str, paper: int | None = None, how_known: str = "seen", seal: str = "cap") -> Any:
    return fact(on, how_known, seal=seal, state=state, document_id=paper)


def letter(on: str, code: str, how_known: str = "seen", origin: str | None = None) -> Any:
    return fact(
        on,
        how_known,
        match_code=code,
        match_code_state="read",
        match_code_read_from=origin,
        part_number=None,
        serial=None,
    )


def settled(on: str, answer: str, about: str = "seal cap", paper: int | None = None, why: str | None = None) -> Any:
    return fact(on, "stated", about=about, answer=answer, document_id=paper, why=why)


MISSING, INTACT = look("2025-09-02", "missing"), look("2026-03-12", "intact")


@pytest.mark.parametrize(
    ("looks", "settlements", "state", "stands"),
    [
        ([MISSING, INTACT], [], "missing", "open"),
        ([look("2026-01-01", "disturbed"), look("2026-02-01", "never fitted")], [], "disturbed", "open"),
        ([INTACT, look("2026-04-01", "missing")], [], "missing", ""),
        ([look("2026-03-12", "intact"), look("2026-03-12", "missing")], [], "missing", "open"),
        ([look("2026-03-12", "missing"), look("2026-03-12", "intact")], [], "missing", "open"),
        ([MISSING, look("2026-01-01", "disturbed")], [], "missing", ""),
        ([MISSING, look("2026-01-01", "not seen")], [], "missing", ""),
        ([look("2026-01-01", "intact"), look("2026-02-01", "not seen")], [], "intact", ""),
        ([look("2026-01-01", "not seen")], [], "not seen", ""),
        ([MISSING, look("2026-01-01", "renewed", 7), INTACT], [], "renewed", ""),
        ([MISSING, look("2026-01-01", "renewed", 7), look("2026-02-01", "renewed")], [], "renewed", ""),
        ([MISSING, look("2026-01-01", "renewed"), INTACT], [], "disturbed", ""),
        ([MISSING, INTACT, look("2026-05-01", "missing")], [], "missing", ""),
        ([MISSING, INTACT], [settled("2026-03-12", "renewed", paper=3)], "renewed", ""),
        ([MISSING, INTACT], [settled("2026-03-12", "renewed")], "disturbed", "by word"),
        ([MISSING, INTACT], [settled("2026-03-12", "the earlier look was wrong", why="w")], "intact", "by word"),
        ([MISSING, INTACT], [settled("2026-03-12", "the earlier look was wrong", paper=3)], "intact", ""),
        ([MISSING, INTACT], [settled("2026-03-12", "mine was wrong")], "missing", "by word"),
        ([MISSING, INTACT], [settled("2026-03-12", "another seal", why="label")], "missing", "by word"),
        ([MISSING, INTACT], [settled("2026-03-12", "cannot be settled now")], "missing", "open"),
        ([MISSING, INTACT], [settled("2026-03-01", "the earlier look was wrong", why="w")], "missing", "open"),
        (
            [MISSING, INTACT, look("2026-05-01", "disturbed"), look("2026-06-01", "intact")],
            [settled("2026-03-12", "the earlier look was wrong", paper=3)],
            "disturbed",
            "open",
        ),
        (
            [look("2026-03-12", "missing", how_known="from a sheet"), look("2026-04-01", "intact")],
            [],
            "intact",
            "remark",
        ),
        (
            [look("2026-03-12", "intact"), look("2026-04-01", "missing", how_known="from a sheet")],
            [],
            "intact",
            "remark",
        ),
        ([MISSING, look("2026-04-01", "intact", how_known="from a sheet")], [], "missing", "remark"),
        ([look("2026-03-12", "intact"), look("2026-04-01", "missing", how_known="stated")], [], "missing", ""),
        ([look("2026-03-12", "intact", how_known="stated"), look("2026-04-01", "missing")], [], "missing", "remark"),
    ],
)
def test_what_counts_of_a_seal(looks: list[Any], settlements: list[Any], state: str, stands: str) -> None:
    seal = seals_of(looks, settlements)["cap"]
    found = seal.contradiction
    assert worst_seal(looks, settlements) == state
    assert _stands(found) == stands
    if found is not None:
        assert set(found.facts) <= {f"seal_sighting-{each.id}" for each in looks} | {
            f"settlement-{each.id}" for each in settlements
        }


def test_the_word_of_others_replaces_neither_side_of_our_own_two_looks() -> None:
    told = look("2026-06-01", "missing", how_known="from a sheet")
    found = seals_of([MISSING, INTACT, told])["cap"].contradiction
    assert found is not None
    assert found.open
    assert [each.own for each in found.looks] == [True, True]


def _stands(found: Any) -> str:
    if found is None:
        return ""
    return "remark" if found.remark else "by word" if found.settled else "open"


def test_a_seal_that_cannot_be_settled_now_is_not_asked_again_but_a_new_finding_is() -> None:
    put_off = settled("2026-03-12", "cannot be settled now")
    again = seals_of([MISSING, INTACT, look("2026-03-13", "intact")], [put_off])["cap"].contradiction
    other = seals_of([MISSING, INTACT, look("2026-03-13", "never fitted")], [put_off])["cap"].contradiction
    assert again is not None and again.put_off
    assert other is not None and not other.put_off


@pytest.mark.parametrize(
    ("readings", "settlements", "codes", "stands"),
    [
        ([letter("2025-01-01", "K"), letter("2026-01-01", "C")], [], ("K", "C"), "open"),
        ([letter("2025-01-01", "K"), letter("2026-01-01", " k ")], [], ("K",), ""),
        ([letter("2025-01-01", "K"), letter("2026-01-01", "C", origin="seller")], [], ("K",), ""),
        ([letter("2025-01-01", "K"), letter("2026-01-01", "C", origin="dated picture")], [], ("K", "C"), "open"),
        ([letter("2025-01-01", "K"), letter("2026-01-01", "K or C")], [], ("K",), ""),
        ([letter("2025-01-01", "K oder C"), letter("2026-01-01", "K")], [], ("K",), ""),
        ([letter("2025-01-01", "K, C"), letter("2026-01-01", "K")], [], ("K",), ""),
        ([letter("2025-01-01", "unbekannt"), letter("2026-01-01", "K")], [], ("K",), ""),
        ([letter("2025-01-01", "K"), letter("2026-01-01", "C", "from a sheet")], [], ("K",), ""),
        (
            [letter("2025-01-01", "K"), letter("2026-01-01", "C")],
            [settled("2026-01-02", "mine was wrong", "letter")],
            ("K",),
            "by word",
        ),
        (
            [letter("2025-01-01", "K"), letter("2026-01-01", "C")],
            [settled("2026-01-02", "the earlier look was wrong", "letter", 3)],
            ("C",),
            "",
        ),
    ],
)
def test_what_counts_of_a_letter(readings: list[Any], settlements: list[Any], codes: Any, stands: str) -> None:
    found = letter_of(readings, settlements)
    assert (found.codes, _stands(found.contradiction)) == (codes, stands)


_DAYS = [f"2026-01-{day:02d}" for day in range(1, 10)]
_LOOKS = st.lists(
    st.tuples(
        st.sampled_from(["intact", "disturbed", "missing", "renewed", "never fitted", "not seen"]),
        st.sampled_from([None, 7]),
        st.sampled_from(["seen", "from a sheet", "stated"]),
    ),
    min_size=1,
    max_size=6,
)
_SETTLED = st.lists(
    st.sampled_from(
        ["renewed", "another seal", "the earlier look was wrong", "mine was wrong", "cannot be settled now"]
    ),
    max_size=2,
)


def _said(part: OnPart) -> Any:
    seal = part.seals["cap"]
    return (
        [(each.says, each.on) for each in seal.looks],
        part.letter.codes,
        [(each.about, each.found, each.settle, each.settled) for each in part.every],
    )


@given(_LOOKS, _SETTLED, st.randoms())
def test_the_order_of_recording_does_not_matter_for_facts_of_different_days(
    looks: Any, answers: Any, random: Any
) -> None:
    kinds = [("look", each) for each in looks] + [("settled", each) for each in answers]
    random.shuffle(kinds)
    dated = list(zip(_DAYS, kinds, strict=False))

    def made(order: Any) -> Any:
        seen, settling = [], []
        for on, (kind, each) in order:
            if kind == "look":
                state, paper, how = each
                seen.append(look(on, state, paper if state == "renewed" else None, how))
            else:
                settling.append(settled(on, each))
        return _said(judged(seen, [], settling, "9999-12-31"))

    shuffled = list(dated)
    random.shuffle(shuffled)
    assert made(dated) == made(shuffled)


@given(_LOOKS, st.sampled_from(["missing", "disturbed"]))
def test_no_worse_look_raises_the_state(looks: Any, worse: str) -> None:
    made = [
        look(on, state, paper if state == "renewed" else None, how)
        for on, (state, paper, how) in zip(_DAYS, looks, strict=False)
    ]
    before = worst_seal(made)
    after = worst_seal([*made, look("2026-02-01", worse)])
    rank = [*_BETTER, "never fitted"].index
    assert rank(after) <= rank(before)


@given(_LOOKS)
def test_a_seal_found_bad_is_never_intact_again_without_a_renewal(looks: Any) -> None:
    made = [look("2025-01-01", "missing")]
    made += [look(on, state, None, how) for on, (state, _, how) in zip(_DAYS, looks, strict=False)]
    state = seals_of(made)["cap"].state
    assert state in ("missing", "disturbed", "renewed")
    assert worst_state({"cap": (state, False)}) in ("missing", "disturbed")
