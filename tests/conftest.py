"""What all tests share: a migrated record on each engine, made once and copied for every test.

Fixtures: `record`, an open record, and `target`, its path or address as the command line takes it, both
once on SQLite and once on PostgreSQL; `sqlite_target` and `postgres_target` for one engine alone;
`empty_target`, a place where no record is yet. Where PostgreSQL does not start, its tests fail;
`--no-postgres` leaves them out.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from inventory.opening import make_record, open_record
from inventory.store.days import clock
from inventory.store.record import Record
from tests.databases import Databases, address
from tests.server import run_server
from tests.statements import share_compiled

#: When the records that tests are given were made: before any day that a test sets its clock to.
_MADE = datetime(2000, 1, 1, 12, tzinfo=UTC)
#: What the tests' files take at most (bytes), with much to spare.
_ROOM = 4_000_000_000
#: How fast an example is made says nothing of what is tested, on machines that do other work besides.
settings.register_profile("suite", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("suite")
ENGINES = ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--no-postgres", action="store_true", help="leave out the tests that need PostgreSQL")


def pytest_configure() -> None:
    """Put what tests write into memory where there is room: most of a small commit is waiting for the disk."""
    memory = Path("/dev/shm")
    if memory.is_dir() and os.access(memory, os.W_OK) and shutil.disk_usage(memory).free > _ROOM:
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(memory))


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if "new_database" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.postgres)
        if config.getoption("--no-postgres") and item.get_closest_marker("postgres"):
            item.add_marker(pytest.mark.skip(reason="--no-postgres"))


@pytest.fixture(scope="session", autouse=True)
def _own_data(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The copies made before upgrades of records on a server go to the data folder of nobody real."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture(scope="session", autouse=True)
def _compiled_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        share_compiled(patch)
        yield


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The bytes of an empty record."""
    path = tmp_path_factory.mktemp("template") / "record.db"
    _make(str(path))
    return path.read_bytes()


@pytest.fixture(scope="session")
def database_server() -> Iterator[Any]:
    """A connection to a PostgreSQL of our own that may make databases; it holds `template_record`, an empty record."""
    import psycopg

    with run_server() as home:
        connection = psycopg.connect(host=str(home), user="postgres", autocommit=True)
        connection.execute("CREATE DATABASE template_record")
        _make(address(home, "template_record"))
        yield connection
        connection.close()


@pytest.fixture(scope="session")
def databases(database_server: Any) -> Databases:
    """The databases of that server."""
    return Databases(database_server, Path(database_server.info.host))


@pytest.fixture(scope="session")
def new_database(databases: Databases) -> Callable[[str], str]:
    """A function that makes a database from a template and gives its address."""
    return lambda template: address(databases.home, databases.copy(template))


@pytest.fixture
def sqlite_target(sqlite_template: bytes, tmp_path: Path) -> str:
    """The path of an empty record of one file."""
    path = tmp_path / "record.db"
    path.write_bytes(sqlite_template)
    path.chmod(0o600)
    return str(path)


@pytest.fixture
def postgres_target(databases: Databases) -> Iterator[str]:
    """The address of an empty record on PostgreSQL."""
    name = databases.take()
    yield address(databases.home, name)
    databases.give_back(name)


@pytest.fixture(params=ENGINES)
def engine_name(request: pytest.FixtureRequest) -> str:
    """Which engine: sqlite, postgres."""
    return str(request.param)


@pytest.fixture
def target(engine_name: str, request: pytest.FixtureRequest) -> str:
    """Where an empty record is, on either engine."""
    return str(request.getfixturevalue(f"{engine_name}_target"))


@pytest.fixture
def record(target: str) -> Iterator[Record]:
    """An empty record, open, on either engine."""
    opened = open_record(target)
    yield opened
    opened.close()


@pytest.fixture
def empty_target(engine_name: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A place where no record is yet, on either engine."""
    if engine_name == "sqlite":
        yield str(tmp_path / "empty.db")
        return
    databases = request.getfixturevalue("databases")
    name = databases.copy("template0")
    yield address(databases.home, name)
    databases.drop(name)


def _make(target: str) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clock, "now", lambda: _MADE)
        patch.setattr(clock, "now_for", lambda _: _MADE)  # a test may have set it when the first record is made
        make_record(target).close()
