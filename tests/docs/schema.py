"""Draws the schema from the models, for DEVELOPERS.md. To renew it: python -m tests.docs.schema"""

from __future__ import annotations

import re
from pathlib import Path

from inventory.store.tables import Base, FactColumns
from inventory.tables import FACTS

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
START, END = "<!-- schema -->\n", "<!-- /schema -->"
SHARED = frozenset(FactColumns.__annotations__)


def drawn() -> str:
    """The tables with their own columns, and which points to which, as a mermaid diagram."""
    lines = ["```mermaid", "erDiagram"]
    tables = Base.metadata.sorted_tables
    for table in tables:
        own = [c for c in table.c if table.name not in FACTS or c.name not in SHARED or c.name in ("id", "thing_id")]
        lines.append(f"    {table.name} {{")
        for column in own:
            marks = [word for word, is_so in (("PK", column.primary_key), ("FK", bool(column.foreign_keys))) if is_so]
            lines.append(f"        {_type(column.type)} {column.name} {','.join(marks)}".rstrip())
        lines.append("    }")
    for table in tables:
        for column in table.c:
            if column.name == "by_id":
                continue  # every fact has one; thirty lines to `thing` would hide the others
            for key in column.foreign_keys:
                lines.append(f"    {table.name} }}o--|| {key.column.table.name} : {column.name}")
    return "\n".join([*lines, "```"]) + "\n"


def _type(kind: object) -> str:
    return re.sub(r"\W.*", "", str(kind)).lower()


def inserted(text: str) -> str:
    """The page with the drawing put between its marks."""
    before, _, rest = text.partition(START)
    return before + START + drawn() + END + rest.partition(END)[2]


if __name__ == "__main__":
    DEVELOPERS.write_text(inserted(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
