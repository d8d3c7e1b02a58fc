"""The door to judging a run: what it refuses before anything is stored, and that a stored run never stops a list."""

from __future__ import annotations

import pytest

from inventory.errors import Refused
from tests.judging import check, judge

HOLD = ["0s=50cmHg", "10s=48cmHg"]


@pytest.mark.parametrize(
    ("procedure", "kind", "readings", "conditions", "code"),
    [
        ("hold", "relais", HOLD, {}, "unknown-kind"),
        ("squeeze", "relay", HOLD, {}, "unknown-procedure"),
        ("hold", "relay", HOLD, {}, "procedure-not-for-kind"),
        ("hold", "pressure sensor", [], {}, "no-readings"),
        ("hold", "pressure sensor", HOLD, {"resolution": "0cmHg"}, "no-size"),
        ("hold", "pressure sensor", HOLD, {"volume": "0ml"}, "no-size"),
        ("hold", "pressure sensor", HOLD, {"volume": "6kg"}, "wrong-dimension"),
        ("hold", "pressure sensor", HOLD, {"ambient": "900degC"}, "no-ambient"),
        ("hold", "pressure sensor", HOLD, {"barometer": "5hPa"}, "no-barometer"),
        (
            "hold",
            "pressure sensor",
            HOLD,
            {"blank": ["0s=50inHg"]},
            "beyond-atmosphere",
        ),
        ("hold", "pressure sensor", HOLD, {"colour": "red"}, "no-such-condition"),
        ("resistance", "pressure sensor", ["coil=5ohm"], {}, "unknown-reading"),
        ("resistance", "pressure sensor", ["primary=94ohm"], {"meter": "good"}, "no-meter"),
        ("resistance", "pressure sensor", ["primary=94ohm"], {"resolution": "OL"}, "no-size"),
    ],
)
def test_what_cannot_stand_is_refused(
    procedure: str, kind: str, readings: list[str], conditions: dict[str, object], code: str
) -> None:
    with pytest.raises(Refused) as refused:
        check(procedure, kind, readings, conditions)
    assert refused.value.code == code


def test_an_unknown_kind_names_the_nearest() -> None:
    with pytest.raises(Refused) as refused:
        check("resistance", "relais", ["coil=80ohm"], {})
    assert "relay" in (refused.value.hint or "")


def test_what_is_good_passes_the_check() -> None:
    check("hold", "Pressure Sensor", HOLD, {"blank": HOLD, "resolution": "1cmHg", "volume": None, "ambient": ""})


def test_a_run_on_record_that_cannot_be_read_is_not_judged_and_stops_nothing() -> None:
    run = judge("hold", "relay", HOLD, {})
    assert (run.verdict, run.says) == ("not judged", "not judged: hold runs say nothing about relays")
    assert run.as_dict()["reasons"]


def test_the_json_of_a_run_has_the_judged_keys() -> None:
    assert set(judge("hold", "pressure sensor", HOLD, {}).as_dict()) == {
        "verdict",
        "says",
        "figures",
        "covers",
        "reasons",
    }


def test_one_blank_reading_alone_may_stand_without_a_list() -> None:
    assert judge("hold", "pressure sensor", HOLD, {"blank": "0s=50cmHg"}).verdict == "pass"
