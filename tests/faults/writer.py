"""A process that writes every kind of act, one after another, until it is killed; each is acknowledged when done.

Imported once by a server process that forks a writer for each kill, so that a kill costs no cold start.
"""

from __future__ import annotations

import os
import random
import shutil
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from sqlalchemy import select

from inventory.bench import actions as bench
from inventory.cars import actions as cars
from inventory.condition_list.actions import give_out
from inventory.copies.actions import backup
from inventory.copies.write_restored import restore
from inventory.facts import change
from inventory.opening import make_record, open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.people import actions as people
from inventory.places import actions as places
from inventory.provenance import actions as provenance
from inventory.seals import actions as seals
from inventory.sheets.actions import read_sheet
from inventory.store.record import Record
from inventory.store.tables import JournalEntry
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.valuation import actions as worth

__all__ = ["Entry", "Writer", "bring_up", "entries", "make_records", "write"]

BY = "Ines"
#: An entry of the journal as it is acknowledged: thing, sequence, act, its key, hash, tables of its rows.
Entry = tuple[int, int, str, str, str]
Act = Callable[[Any], object]


def entries(record: Record) -> set[Entry]:
    """All entries of a record's journal."""
    columns = (
        JournalEntry.thing_id,
        JournalEntry.sequence,
        JournalEntry.act,
        JournalEntry.act_key,
        JournalEntry.hash,
    )
    with record.read() as session:
        return {tuple(row) for row in session.execute(select(*columns))}


@dataclass
class Writer:
    """Does one act of each kind in turn, over and over, each on what the ones before it made."""

    record: Record
    folder: Path
    chance: random.Random
    rounds: int = 0
    tag: str = ""
    facts: list[str] = field(default_factory=list)

    def acts(self) -> Iterator[tuple[str, Callable[[], object]]]:
        """One round: every kind of write, by name."""
        self.rounds += 1
        word = f"{self.chance.randrange(10**9):09d}"
        yield "car", lambda: self._one(lambda s: cars.add_car(s, BY, f"car {word}", maker="Halvard"))
        yield (
            "position",
            lambda: self._one(lambda s: cars.list_position(s, BY, f"car {word}", "wing", cars.Listing(1, "relay"))),
        )
        yield "insure", lambda: self._one(lambda s: cars.insure_car(s, BY, f"car {word}", True))
        yield "begin", lambda: self._one(lambda s: teardown.begin(s, BY, f"car {word}"))
        yield "log", lambda: self._log(word)
        yield "stays", lambda: self._one(lambda s: teardown.stays_on(s, BY, f"car {word}", f"tank {word}", "full"))
        yield "close", lambda: self._one(lambda s: teardown.close(s, BY, f"car {word}"))
        yield "place", lambda: self._one(lambda s: places.add_place(s, BY, f"bin {word}"))
        yield "put", lambda: self._fact(lambda s: places.put(s, BY, self.tag, f"bin {word}"))
        yield "seal", lambda: self._fact(lambda s: seals.note_seal(s, BY, self.tag, "cap", "intact"))
        yield "note", lambda: self._fact(lambda s: parts.note(s, BY, self.tag, f"note {word}"))
        yield "assess", lambda: self._fact(lambda s: parts.assess(s, BY, self.tag, 1, damage="bent"))
        yield "work", lambda: self._fact(lambda s: parts.log_work(s, BY, self.tag, "new mounts", "outside"))
        yield "describe", lambda: self._fact(lambda s: parts.describe(s, BY, self.tag, Markings(maker=f"M {word}")))
        yield (
            "run",
            lambda: self._one(
                lambda s: bench.run(s, BY, self.tag, "hold", ["0s=50cmHg", "10s=48cmHg"], {"resolution": "1cmHg"})
            ),
        )
        yield (
            "value",
            lambda: self._fact(
                lambda s: worth.note_value(s, BY, self.tag, "850", "EUR", document=self._paper(f"value {word}"))
            ),
        )
        yield "attach", lambda: self._fact(lambda s: parts.attach(s, BY, self.tag, self._paper(f"paper {word}")))
        yield (
            "provenance",
            lambda: self._fact(
                lambda s: provenance.note_provenance(
                    s, BY, self.tag, "bought", party=f"seller {word}", price="9", currency="EUR"
                )
            ),
        )
        yield "withdraw", lambda: self._one(lambda s: change.withdraw(s, BY, self.facts.pop(), "wrong part"))
        yield (
            "correct",
            lambda: self._one(lambda s: change.correct(s, BY, self.facts[1], {"seal": f"cap {word}"}, "misread")),
        )
        yield "contact", lambda: self._one(lambda s: people.add_contact(s, BY, f"person {word}", address="Quay 9"))
        yield "blank", lambda: self._one(lambda s: people.blank_contact(s, BY, f"person {word}", "asked for it"))
        yield "fits", lambda: self._one(lambda s: parts.state_fit(s, BY, f"HV {word} 1", f"HV {word} 2"))
        yield "supersede", lambda: self._one(lambda s: parts.supersede(s, BY, f"HV {word} 3", f"HV {word} 4"))
        yield "part", lambda: self._one(lambda s: parts.add_part(s, BY, Markings(kind="relay"), remark="spare"))
        yield "sheet", lambda: read_sheet(self.record, self._sheet(word), BY)
        yield "list", lambda: give_out(self.record, BY, self.folder / f"list {word}.json")
        yield "fit", lambda: self._one(lambda s: teardown.fit(s, BY, self.tag, "shelf", car=f"car {word}"))

    def _one(self, act: Act) -> object:
        with self.record.write() as session:
            return act(session)

    def _fact(self, act: Act) -> None:
        self.facts.append(str(self._one(act)))

    def _log(self, word: str) -> None:
        coming = ComingOff(
            position=f"wing {word}",
            condition=2,
            note="rusty",
            seals=[("cap", "intact")],
            pictures=[self._paper(f"picture {word}")],
        )
        markings = Markings(kind="pressure sensor", serial=word, match_code="K")
        with self.record.write() as session:
            self.tag = teardown.log(session, BY, markings, coming, car=f"car {word}").tag
        self.facts = []

    def _paper(self, words: str) -> Path:
        path = self.folder / "paper.txt"
        path.write_text(words)
        return path

    def _sheet(self, word: str) -> Path:
        path = self.folder / "parts.csv"
        rows = [f"relay,HV 7,{word}-{number},bin {word}" for number in range(4)]
        path.write_text("\n".join(["kind,part number,serial,place", *rows]))
        return path


def write(target: str, folder: Path, seed: int, pipe: Connection) -> None:
    """Write until killed. Sends each act's name before it begins, and its entries when it is done."""
    chance = random.Random(seed)
    own = folder / f"{os.getpid()}"
    own.mkdir()
    writer = Writer(open_record(target), own, chance)
    known = entries(writer.record)
    while True:
        for name, act in writer.acts():
            pipe.send(("begins", name))
            act()
            after = entries(writer.record)
            pipe.send(("done", after - known))
            known = after


def bring_up(older: Path, target: Path, pipe: Connection) -> None:
    """Open a copy of a record of an older version, which brings it up; then wait to be killed."""
    shutil.copyfile(older, target)
    pipe.send(("begins", target))
    open_record(str(target)).close()
    pipe.send(("done", target))
    time.sleep(60)


def make_copies(target: str, folder: Path, pipe: Connection) -> None:
    """Back a record up and bring the copy back, again and again until killed."""
    record, number = open_record(target), 0
    while True:
        number += 1
        copy, back = folder / f"{os.getpid()}-{number}.zip", folder / f"{os.getpid()}-{number}.db"
        pipe.send(("begins", "a backup"))
        backup(record, "Ines", copy)
        pipe.send(("done", copy))
        pipe.send(("begins", "a restore"))
        restore(copy, str(back), passphrase=lambda: "")
        pipe.send(("done", back))


def make_records(folder: Path, pipe: Connection) -> None:
    """Make one new record after another until killed."""
    number = 0
    while True:
        number += 1
        path = folder / f"{os.getpid()}-{number}.db"
        pipe.send(("begins", path))
        make_record(str(path)).close()
        pipe.send(("done", path))
