"""Writes a page to print to the file that a command names."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.cli.door import Answer
from inventory.store.files import whole_file

if TYPE_CHECKING:
    from inventory.printed.write_paper import Paper

__all__ = ["printed"]


def printed(paper: Paper, output: Path, data: Mapping[str, Any], *, overwrite: bool) -> Answer:
    """Write a paper to a file; the answer has the data, the file and the number of pages."""
    with whole_file(output, overwrite=overwrite) as part:
        part.write_bytes(paper.content())
    warnings = (paper.missing_sentence(),) if paper.missing else ()
    whole = {**data, "file": str(output), "pages": paper.pages_count}
    return Answer(whole, f"{paper.pages_count} pages: {output}", warnings=warnings, as_it_stands=True)
