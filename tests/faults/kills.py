"""Kills a writing process at random moments, over every kind of write: python -m tests.faults.kills --times 500.

After each kill the record opens, `verify` finds nothing, what was acknowledged is there, and no act is half there.
Options: --engine sqlite|postgresql (the tests' own server), --seed N. Killed in turn: a process that writes acts of
every kind, one that makes new records, one that brings an older record up to this version, and one that makes copies.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import shutil
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sqlalchemy import select

from inventory.copies.write_restored import restore as restore_copy
from inventory.opening import open_record
from inventory.store.journal.images import read_images
from inventory.store.record import Record, make_record
from inventory.store.tables import JournalEntry
from inventory.verification import verify
from tests.faults.writer import Writer, bring_up, entries, make_copies, make_records, write
from tests.kept import REVISIONS_KEPT, restore

__all__ = ["Shape", "after_kill", "rehearse", "run_and_kill", "shapes"]

_TOGETHER = multiprocessing.get_context("forkserver")
_TOGETHER.set_forkserver_preload(["tests.faults.writer", "inventory.store.connection.migration", "migrations.versions"])

#: Kills of one record: it grows with each.
_MOST = 25

Shape = tuple[tuple[str, tuple[str, ...]], ...]


def shapes(record: Record) -> dict[str, Shape]:
    """What each act wrote, by its key: for each thing the act's name and the tables of the rows."""
    query = select(JournalEntry.__table__).order_by(JournalEntry.thing_id, JournalEntry.sequence)
    found: dict[str, list[tuple[str, tuple[str, ...]]]] = defaultdict(list)
    with record.read() as session:
        for entry in session.execute(query).mappings():
            written = read_images(dict(entry))
            tables = tuple(sorted(table for table, _, _ in (*written.made, *written.changed)))
            found[entry["act_key"]].append((entry["act"], tables))
    return {key: tuple(sorted(shape)) for key, shape in found.items()}


def run_and_kill(target: Callable[..., None], arguments: tuple[Any, ...], delay: float) -> tuple[list[Any], str]:
    """Start a process and kill it `delay` seconds after its first act.

    Gives what it acknowledged, and the act that it was in; empty if it was between two.
    """
    ours, theirs = _TOGETHER.Pipe(duplex=False)
    process = _TOGETHER.Process(target=target, args=(*arguments, theirs))
    process.start()
    theirs.close()
    assert ours.poll(60), "the writer did not begin"
    time.sleep(delay)
    process.kill()
    process.join()
    said = []
    try:
        while True:
            said.append(ours.recv())
    except EOFError:
        pass
    ours.close()
    assert process.exitcode == -9, f"the writer stopped by itself: {process.exitcode}, {said[-1:]}"
    word, what = said[-1]
    return [what for word, what in said if word == "done"], str(what) if word == "begins" else ""


def rehearse(record: Record, folder: Path) -> tuple[set[Shape], float]:
    """Every kind of act once, undisturbed: the shapes that whole acts have, and how long a round takes."""
    folder.mkdir()
    writer = Writer(record, folder, random.Random(0))
    started = time.monotonic()
    for _, act in writer.acts():
        act()
    took = time.monotonic() - started
    return set(shapes(record).values()), took


def after_kill(target: str, acknowledged: list[Any], whole: set[Shape]) -> None:
    """Hold the record to what must be so after a kill."""
    record = open_record(target)
    try:
        found = verify(record)
        assert found.problems == (), found.problems
        missing = set().union(*acknowledged) - entries(record)
        assert not missing, missing
        half = {key: shape for key, shape in shapes(record).items() if shape not in whole}
        assert half == {}, half
    finally:
        record.close()


def _left_over(folder: Path) -> Counter[str]:
    """What kills left in the folders of documents, by the ending: bytes without a row are harmless, and are counted."""
    return Counter(
        path.suffix or "whole" for each in folder.rglob("*.documents") for path in each.rglob("*") if path.is_file()
    )


def kill_writers(target: str, folder: Path, times: int, chance: random.Random) -> Counter[str]:
    """Kill a writer so many times; gives how many kills fell into which act."""
    record = open_record(target)
    whole, took = rehearse(record, folder / "rehearsal")
    record.close()
    struck: Counter[str] = Counter()
    for _ in range(times):
        acknowledged, act = run_and_kill(write, (target, folder, chance.randrange(10**9)), chance.uniform(0, took))
        struck[act or "between two"] += 1
        after_kill(target, acknowledged, whole)
        if struck.total() % 10 == 0:
            print(f"  {struck.total()} kills of one record, nothing lost", flush=True)
    return struck


def kill_makers(folder: Path, times: int, chance: random.Random) -> None:
    """Kill processes that make new records: none is ever found half made."""
    for _ in range(times):
        made, _ = run_and_kill(make_records, (folder,), chance.uniform(0, 1.0))
        named = {path for path in folder.glob("*.db") if not path.name.startswith(".")}
        assert set(made) <= named
        for path in named:
            record = open_record(str(path))
            assert verify(record).ok, path
            record.close()
            path.unlink()


def kill_copies(target: str, folder: Path, times: int, chance: random.Random) -> Counter[str]:
    """Kill processes that back a record up and bring it back: no copy is half made, and the record fits."""
    struck: Counter[str] = Counter()
    for _ in range(times):
        made, what = run_and_kill(make_copies, (target, folder), chance.uniform(0, 1.5))
        struck[what or "between two"] += 1
        assert all(path.exists() for path in made)
        for path in [*folder.glob("[0-9]*.zip")]:
            restore_copy(path, str(folder / "again.db"), passphrase=lambda: "")
            path.unlink()
            _fits_and_goes(folder / "again.db")
        for path in [*folder.glob("[0-9]*.db")]:
            _fits_and_goes(path)
    _fits(target)
    return struck


def _fits(target: str) -> None:
    record = open_record(target)
    found = verify(record).problems
    record.close()
    assert found == (), found


def _fits_and_goes(path: Path) -> None:
    _fits(str(path))
    for each in path.parent.glob(f"{path.name}*"):
        shutil.rmtree(each) if each.is_dir() else each.unlink()


def kill_upgrades(folder: Path, times: int, chance: random.Random) -> Counter[str]:
    """Kill processes that open records of older versions: each record is still at its revision, or whole at ours."""
    struck: Counter[str] = Counter()
    older = {}
    for revision in REVISIONS_KEPT[-3:-1]:
        restore(str(folder / f"kept-{revision}.old"), revision)
        older[revision] = folder / f"kept-{revision}.old"
    for _ in range(times):
        revision = chance.choice(list(older))
        path = folder / "upgraded.db"
        for each in folder.glob("upgraded.db*"):
            if each.is_file():
                each.unlink()
        _, what = run_and_kill(bring_up, (older[revision], path), chance.uniform(0, 0.8))
        struck[what and "in the upgrade"] += 1
        record = open_record(str(path))
        found = verify(record).problems  # the copy has no documents beside it
        assert [each for each in found if each.table != "document_content"] == [], found
        record.close()
    return struck


def main() -> int:
    """The command line."""
    read = argparse.ArgumentParser(prog="python -m tests.faults.kills")
    read.add_argument("--times", type=int, default=500)
    read.add_argument("--engine", choices=["sqlite", "postgresql"], default="sqlite")
    read.add_argument("--seed", type=int, default=1)
    asked = read.parse_args()
    chance = random.Random(asked.seed)
    with tempfile.TemporaryDirectory(prefix="kills-") as made:
        folder = Path(made)
        if asked.engine == "postgresql":
            from tests.server import run_server

            with run_server() as home:
                address = f"postgresql://postgres@/postgres?host={home}"
                make_record(address).close()
                struck = kill_writers(address, folder, asked.times, chance)
        else:
            few, struck = max(asked.times // 10, 1), Counter()
            for number in range(0, asked.times - 3 * few, _MOST):
                (folder / f"{number}").mkdir()
                make_record(target := str(folder / f"{number}" / "shop.db")).close()
                struck += kill_writers(target, folder / f"{number}", min(_MOST, asked.times - 3 * few - number), chance)
                print(f"  {struck.total()} kills, nothing lost", flush=True)
            (folder / "made").mkdir()
            kill_makers(folder / "made", few, chance)
            print(f"  {few} kills of processes that make records, none half made")
            print(f"  {few} kills of upgrades: {dict(kill_upgrades(folder, few, chance))}")
            (folder / "copies").mkdir()
            print(f"  {few} kills of copies: {dict(kill_copies(target, folder / 'copies', few, chance))}")
            print(f"  left in the folder of documents: {dict(_left_over(folder))}")
    print(
        f"{asked.times} kills on {asked.engine}, seed {asked.seed}: nothing acknowledged was lost, no act was half there"
    )
    print("  they fell into: " + ", ".join(f"{act} {count}" for act, count in struck.most_common()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
