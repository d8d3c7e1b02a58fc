"""How a code is read: what counts, what does not and in which words; look-alikes flagged, never merged."""

from __future__ import annotations

import itertools

import pytest

from inventory.pairing.candidate import SENSOR_KIND, Candidate, CodeState, ReadFrom
from inventory.pairing.findings.codes import compare, look_alikes, reading
from inventory.store.words.letters import mistaken_for
from inventory.store.words.text import LOOK_ALIKES


def coded(code: str, state: CodeState = "read", read_from: ReadFrom = "") -> Candidate:
    return Candidate("K4127-7", SENSOR_KIND, "HV 204 118", "hv204118", 0.5, code, state, read_from)


@pytest.mark.parametrize(
    ("half", "state", "may_be", "says"),
    [
        (coded("K"), "clear", ("K",), ""),
        (coded("K", read_from="part"), "clear", ("K",), ""),
        (coded("K", read_from="dated picture"), "clear", ("K",), ""),
        (coded(" k. "), "clear", ("K",), ""),
        (coded("ABC"), "clear", ("ABC",), ""),
        (coded("OR"), "clear", ("OR",), ""),
        (coded("K", read_from="picture"), "by others", ("K",), "K only by the picture, not read from the part"),
        (coded("K", read_from="seller"), "by others", ("K",), "K only by the seller, not read from the part"),
        (coded("K", read_from="paperwork"), "by others", ("K",), "K only by the paperwork, not read from the part"),
        (coded("K", read_from="passport"), "by others", ("K",), "K only by the passport, not read from the part"),
        (coded("O or Q"), "one of several", ("O", "Q"), "one of several, noted as O or Q"),
        (coded("O/Q"), "one of several", ("O", "Q"), "one of several, noted as O/Q"),
        (coded("o oder q?"), "one of several", ("O", "Q"), "one of several, noted as o oder q?"),
        (coded("O ou Q"), "one of several", ("O", "Q"), "one of several, noted as O ou Q"),
        (coded("O o Q"), "one of several", ("O", "Q"), "one of several, noted as O o Q"),
        (coded("O, Q or 0"), "one of several", ("O", "Q", "0"), "one of several, noted as O, Q or 0"),
        (coded("OQ?"), "one of several", ("O", "Q", "OQ"), "one of several, noted as OQ?"),
        (coded("O0Q ?"), "one of several", ("O", "0", "Q", "O0Q"), "one of several, noted as O0Q ?"),
        (coded("KMN?"), "doubtful", ("KMN",), "not clearly read, noted as KMN?"),
        (coded("O or O"), "doubtful", ("O",), "not clearly read, noted as O or O"),
        (
            coded("O or Q", read_from="seller"),
            "by others",
            ("O", "Q"),
            "O or Q only by the seller, not read from the part",
        ),
        (coded("O?"), "doubtful", ("O",), "not clearly read, noted as O?"),
        (coded("?"), "doubtful", (), "not clearly read, noted as ?"),
        (coded("-"), "doubtful", (), "- is noted, which is not a code"),
        (coded("unknown"), "doubtful", (), "unknown is noted, which is not a code"),
        (coded("Not known"), "doubtful", (), "Not known is noted, which is not a code"),
        (coded("unbekannt"), "doubtful", (), "unbekannt is noted, which is not a code"),
        (coded("K?/unknown"), "doubtful", ("K",), "not clearly read, noted as K?/unknown"),
        (coded(" . "), "doubtful", (), " .  is noted, which is not a code"),
        (coded(""), "not looked at", (), "not looked at"),
        (coded("", "not looked at"), "not looked at", (), "not looked at"),
        (coded("", "unreadable"), "unreadable", (), "cannot be read"),
        (coded("O or Q", "unreadable"), "unreadable", ("O", "Q"), "cannot be read, perhaps O or Q"),
        (coded("", "label gone"), "label gone", (), "its label is gone"),
        (coded("K", "label gone"), "label gone", ("K",), "its label is gone, once noted as K"),
        (coded("", "never fitted"), "never fitted", (), "it never had one"),
    ],
)
def test_reading(half: Candidate, state: str, may_be: tuple[str, ...], says: str) -> None:
    read = reading(half)

    assert (state, may_be, says) == (read.state, read.may_be, read.says)


@pytest.mark.parametrize(
    ("ours", "theirs", "expected"),
    [
        ("K", "K", "equal"),
        ("K", "k", "equal"),
        ("K", "M", "different"),
        ("O", "Q", "different"),
        ("O", "0", "different"),
        ("K", "", "missing"),
        ("O or Q", "O", "missing"),
        ("O or Q", "O/Q", "missing"),
        ("O or Q", "Q or K", "missing"),
        ("O or Q", "K", "different"),
        ("O/Q", "0", "different"),
        ("OQ?", "K", "different"),
        ("OQ?", "OQ", "missing"),
        ("K?", "M", "missing"),
    ],
)
def test_compare(ours: str, theirs: str, expected: str) -> None:
    assert expected == compare(reading(coded(ours)), reading(coded(theirs)))
    assert expected == compare(reading(coded(theirs)), reading(coded(ours)))


@pytest.mark.parametrize(("ours", "theirs"), [p for g in LOOK_ALIKES for p in itertools.permutations(g, 2)])
def test_every_pair_of_a_group_looks_alike_and_is_still_different(ours: str, theirs: str) -> None:
    a, b = reading(coded(ours)), reading(coded(theirs))

    assert look_alikes(a, b)
    assert compare(a, b) == "different"
    assert theirs in mistaken_for(ours)


@pytest.mark.parametrize(
    ("ours", "theirs", "expected"),
    [
        ("K", "M", False),
        ("K", "K", False),
        ("O", "I", False),
        ("O", "OO", False),
        ("KO", "KQ", True),
        ("KO", "MQ", False),
        ("O or Q", "0", True),
        ("O or Q", "Q", False),  # not two codes that look alike, but one that may be the other
        ("?", "Q", False),
    ],
)
def test_look_alikes(ours: str, theirs: str, expected: bool) -> None:
    assert expected == look_alikes(reading(coded(ours)), reading(coded(theirs)))


def test_a_sign_outside_every_group_is_taken_for_nothing_else() -> None:
    assert mistaken_for("K") == ()
    assert mistaken_for("B") == ("8",)
