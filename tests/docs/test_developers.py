from __future__ import annotations

from tests.docs.schema import DEVELOPERS, END, START, inserted


def test_the_schema_in_developers_md_is_the_schema_of_the_models() -> None:
    page = DEVELOPERS.read_text(encoding="utf-8")

    assert START in page
    assert END in page
    assert inserted(page) == page, "renew it: python -m tests.docs.schema"
