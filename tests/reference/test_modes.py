"""How kinds fail, as the reference data say it."""

from __future__ import annotations

import pytest

from inventory.reference.load import kind, kinds
from inventory.reference.modes import failure_modes, false_alarm, stale_weights


@pytest.mark.parametrize("name", [each.name for each in kinds()])
def test_the_ways_a_kind_fails_add_up(name: str) -> None:
    data = failure_modes(name)
    assert sum(mode.share for mode in data.modes) == pytest.approx(1.0)
    assert 0.0 < data.good < 1.0
    assert data.standing == "workshop judgement"
    for mode in data.modes:
        for test, shows in mode.shows.items():
            alarm = false_alarm(test)
            assert alarm is not None
            assert alarm < shows < 1.0
            if not test.startswith("seal "):
                assert test in kind(name).procedures
            else:
                assert test.removeprefix("seal ") in kind(name).seals


def test_leaks_are_most_of_what_fails_in_a_pressure_sensor_and_coils_the_least() -> None:
    shares = {mode.name: mode.share for mode in failure_modes("pressure sensor").modes}
    assert shares["diaphragm torn"] + shares["case joint or port leaking"] >= 0.6
    assert shares["coil or plug"] <= 0.2


def test_stale_weights_lie_between_nothing_and_all() -> None:
    weights = stale_weights()
    assert 0.0 <= weights.passed <= weights.failed < 1.0
