from __future__ import annotations

from tests.docs import reference


def test_the_reference_has_the_keys_that_each_command_gives() -> None:
    page = reference.FILE.read_text(encoding="utf-8")

    assert reference.reference() == page, "renew it: python -m tests.docs.reference"
