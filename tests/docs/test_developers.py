from __future__ import annotations

import pkgutil
import re

from tests.docs import commands, schema


def test_the_schema_in_developers_md_is_the_schema_of_the_models() -> None:
    page = schema.DEVELOPERS.read_text(encoding="utf-8")

    assert schema.START in page
    assert schema.END in page
    assert schema.inserted(page) == page, "renew it: python -m tests.docs.schema"


def test_the_drawing_of_the_schema_names_every_table_in_fifty_lines() -> None:
    drawn = schema.drawn()

    assert len(drawn.splitlines()) <= 50
    assert [name for name in schema.Base.metadata.tables if not re.search(rf"\b{name}\b", drawn)] == []


def test_the_commands_in_developers_md_are_the_commands() -> None:
    page = schema.DEVELOPERS.read_text(encoding="utf-8")

    assert commands.START in page
    assert commands.END in page
    assert commands.inserted(page) == page, "renew it: python -m tests.docs.commands"


def test_the_table_of_rules_names_only_what_is_there() -> None:
    page = schema.DEVELOPERS.read_text(encoding="utf-8")
    table = page[page.index("Each rule has one place:") : page.index("## One errand")]
    named = set(re.findall(r"`([a-z_]+(?:\.[A-Za-z_]+)+)`", table)) - {"cell_words.toml"}

    assert [name for name in sorted(named) if not _is_there(name)] == []


def _is_there(name: str) -> bool:
    for whole in (f"inventory.{name}", name):
        try:
            pkgutil.resolve_name(whole)
        except (ImportError, AttributeError):
            continue
        return True
    return False
