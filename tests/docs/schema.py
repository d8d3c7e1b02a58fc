"""Draws the subjects and how they refer to each other, for DEVELOPERS.md. To renew it: python -m tests.docs.schema"""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

import inventory.declared  # noqa: F401 - with it all tables
from inventory.store.tables import Base

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
START, END = "<!-- schema -->\n", "<!-- /schema -->"


def drawn() -> str:
    """Each subject with its tables, and which subject's tables refer to which, as a mermaid flowchart."""
    tables: dict[str, list[str]] = defaultdict(list)
    refer: dict[tuple[str, str], set[str]] = defaultdict(set)
    subject_of = {mapper.local_table: mapper.class_.__module__.split(".")[1] for mapper in Base.registry.mappers}
    for table in Base.metadata.sorted_tables:
        subject = subject_of[table]
        tables[subject].append(table.name)
        for key in table.foreign_keys:
            to = key.column.table
            if subject_of[to] not in (subject, "store"):
                refer[subject, subject_of[to]].add(to.name)
    lines = ["```mermaid", "flowchart LR"]
    lines += [f'    {subject}["{subject}: {", ".join(sorted(names))}"]' for subject, names in sorted(tables.items())]
    lines += [f"    {one} -->|{', '.join(sorted(names))}| {other}" for (one, other), names in sorted(refer.items())]
    return "\n".join([*lines, "```"]) + "\n"


def inserted(text: str) -> str:
    """The page with the drawing put between its marks."""
    before, _, rest = text.partition(START)
    return before + START + drawn() + END + rest.partition(END)[2]


if __name__ == "__main__":
    DEVELOPERS.write_text(inserted(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
