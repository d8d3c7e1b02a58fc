"""Words of heat, a fall, opening, blasting or water propose that work was done on the unit itself."""

from __future__ import annotations

import pytest

from inventory.parts.actions import proposed_area


@pytest.mark.parametrize(
    "what",
    [
        "heated with a hot-air gun",
        "Dropped",
        "fell from the bench",
        "OPENED, diaphragm looked at",
        "bead blasted",
        "sandblasted",
        "wetted",
        "water got in",
        "new mounts; then dropped",
    ],
)
def test_words_that_speak_of_the_unit(what: str) -> None:
    assert proposed_area(what) == "on the unit"


@pytest.mark.parametrize(
    "what",
    [
        "new mounts",
        "bracket resprayed",
        "heat-shrink sleeve on the lead",
        "heat shrink",
        "cleaned outside, not opened",
        "never heated",
        "open-ended spanner lent",
        "wheat paste off the label",
        "unopened, new hose",
        "",
    ],
)
def test_words_that_do_not(what: str) -> None:
    assert proposed_area(what) == "outside"
