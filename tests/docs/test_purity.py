"""Which modules are pure is told by their names: all but those that read or write a record or a file, and the doors.

A pure module reaches no database, no table library, no file system and no screen, not even through what it imports.
"""

from __future__ import annotations

import grimp
import pytest

#: Folders that are doors, or the machinery that reads and writes records.
IMPURE_FOLDERS = ("store", "facts", "sheets", "cli")
#: Modules of `inventory` itself that put the subjects together.
ASSEMBLING = ("card", "declared", "frame_columns", "frames", "opening", "verification")
#: What a module that is not pure is called, in every folder of a subject.
IMPURE_NAMES = ("tables", "facts", "actions", "queries", "load", "verify")
IMPURE_STARTS = ("load_", "read_", "write_")
#: What nobody pure may reach.
FORBIDDEN = ("alembic", "click", "os", "pandas", "pathlib", "psycopg", "sqlalchemy", "sqlite3", "textual", "xlsxwriter")


def _is_pure(module: str) -> bool:
    _, *folders, name = module.split(".")
    if not folders:
        return name not in (*IMPURE_FOLDERS, *ASSEMBLING)
    return not (folders[0] in IMPURE_FOLDERS or name in IMPURE_NAMES or name.startswith(IMPURE_STARTS))


@pytest.fixture(scope="module")
def graph() -> grimp.ImportGraph:
    return grimp.build_graph("inventory", include_external_packages=True, exclude_type_checking_imports=True)


def test_pure_modules_reach_no_record_no_file_and_no_screen(graph: grimp.ImportGraph) -> None:
    pure = sorted(module for module in graph.modules if module.startswith("inventory.") and _is_pure(module))
    reached = [
        " -> ".join(chain)
        for module in pure
        for library in FORBIDDEN
        if library in graph.modules and (chain := graph.find_shortest_chain(module, library))
    ]

    assert len(pure) > 100
    assert reached == []


def test_a_judgement_that_reached_a_record_would_be_found(graph: grimp.ImportGraph) -> None:
    assert graph.find_shortest_chain("inventory.pairing.queries", "sqlalchemy")
    assert not _is_pure("inventory.bench.runs.load_contexts")
    assert _is_pure("inventory.bench.methods.hold.judgement")
