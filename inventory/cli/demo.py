"""`matchmark demo`: an invented workshop, and one errand walked through it by the commands a person would type."""

from __future__ import annotations

import contextlib
import io
import json
import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand
from inventory.cli.options import FILE
from inventory.errors import Refused

if TYPE_CHECKING:
    from demo_db.build import Papers
    from demo_db.notebook import PartName, StripLine

LAST_DAY = "2026-03-31"


@subcommand("demo")
@click.argument("folder", default="matchmark-demo", type=FILE)
@pass_door
def command(door: Door, folder: Path) -> Answer:
    """Build an invented workshop in FOLDER and walk the errand of the Green tourer through it."""
    from demo_db.build import build

    _make_folder(folder)
    record, papers = build(folder)
    record.close()
    walk = _Walk(folder / "workshop.db")
    _errand(walk, papers, folder)
    if walk.went_wrong:
        raise Refused("demo-went-wrong", f"One of the commands was refused: {walk.went_wrong[0]}")
    left = [f"{folder}/{name}" for name in ("workshop.db", "condition-list.xlsx", "pair-report.txt")]
    last = (
        f"Left in {folder}: the record, the condition list, the pair report.\n"
        f"To look round: matchmark --record {left[0]}"
    )
    return Answer({"record": left[0], "condition_list": left[1], "pair_report": left[2]}, last)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True)
    except FileExistsError:
        raise Refused(
            "folder-exists",
            f"There is already something at {folder}, so the demo was not built",
            hint="name another folder: matchmark demo FOLDER",
        ) from None
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        raise Refused("folder-not-writable", f"No folder could be made at {folder}: {why}") from None


class _Walk:
    """Types commands: prints each as a person would type it, and its answer."""

    def __init__(self, record: Path) -> None:
        self.record = record
        self.went_wrong: list[str] = []
        self.tags: dict[PartName, str] = {}

    def type(self, *words: str, by: str = "Ines", quiet: bool = False) -> str:
        """Run one command on the record; gives its answer."""
        from inventory.cli.app import run

        out = io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
            status = run([*words, "--record", str(self.record), "--by", by])
        if status not in (0, 1):
            self.went_wrong.append(f"{shlex.join(words)}: {out.getvalue().strip()}")
        if not quiet:
            click.echo(f"$ matchmark {shlex.join(words)}\n{out.getvalue().rstrip()}\n", err=False)
        return out.getvalue()

    def ask(self, *words: str) -> Any:
        """The same, unprinted, as data."""
        return json.loads(self.type(*words, "--json", quiet=True))

    @staticmethod
    def say(text: str) -> None:
        """A line between commands."""
        click.echo(f"# {text}\n")


def _errand(walk: _Walk, papers: Papers, folder: Path) -> None:
    from demo_db.notebook import PartName

    sensor = PartName("Ostrell", "HV 204 118", "71-40822")
    walk.say("Saturday, 28 February 2026. Ines takes the injection off the Green tourer.")
    _strip(walk)
    walk.say("What the papers say of these parts.")
    _write_down(walk, papers, folder)
    tag = walk.tags[sensor]
    walk.say("On the bench: a coarse gauge first, then a finer one, then the coils.")
    walk.type("bench", "list", "--kind", "pressure sensor")
    _bench(walk, papers)
    walk.type("evidence", tag)
    walk.say("One on the shelf holds, but its sealant was dug out: swept beside a unit that they trust.")
    (dug_out,) = [part["tag"] for part in walk.ask("part", "find", "71-40377")["parts"]]
    walk.type("bench", "sweep", dug_out, by="Bertil")
    walk.say("Which control unit was it set with?")
    walk.type("pairs", tag)
    walk.type("part", "find", "K", "intact")
    walk.say("The whole shelf.")
    report = walk.type("pairs", "plan", quiet=True)
    (folder / "pair-report.txt").write_text(report, encoding="utf-8")
    walk.type("pairs", "plan")
    walk.say("The insurer asked for a list as of the end of March.")
    target = folder / "condition-list.xlsx"
    walk.type("condition-list", "-o", str(target), "--as-of", LAST_DAY, "--basis", "market", by="Maud")
    walk.type("part", "show", tag)
    walk.type("verify")


def _strip(walk: _Walk) -> None:
    from demo_db.notebook import PartName, strip_down

    day = strip_down()
    walk.type("teardown", "begin", day.car, "--care", day.care, "--on", day.on)
    before = {part["tag"] for part in walk.ask("part", "find")["parts"]}
    for line in day.lines:
        if line.stays:
            walk.type("teardown", "stays", line.position, "--why", line.stays, "--on", day.on)
            continue
        walk.type("teardown", "log", *_options(line, walk.record.parent / "pictures"), "--on", day.on)
        (part,) = [part for part in walk.ask("part", "find")["parts"] if part["tag"] not in before]
        before.add(part["tag"])
        walk.tags[PartName(line.maker, line.part_number, line.serial)] = part["tag"]
        walk.type("place", "put", part["tag"], day.place, "--on", day.on, quiet=True)
        if line.correction is not None:
            fix = line.correction
            (fact,) = walk.ask("part", "show", part["tag"])["markings"]
            change = f"{fix.name}={fix.to}"
            walk.type("fact", "correct", fact["id"], "--set", change, "--reason", fix.reason)
    walk.type("teardown", "status")


def _options(line: StripLine, pictures: Path) -> list[str]:
    """A line of the strip-down as options of `teardown log`."""
    single = {
        "--kind": line.kind,
        "--maker": line.maker,
        "--part-number": line.part_number,
        "--serial": line.serial,
        "--date-code": line.date_code,
        "--match-code": line.match_code,
        "--position": line.position,
        "--axis": line.axis,
        "--bag": line.bag,
        "--condition": "" if line.condition is None else str(line.condition),
        "--car-side": line.car_side,
        "--note": "; ".join(line.notes),
    }
    several = [
        *(("--fastener", each) for each in line.fasteners),
        *(("--connection", each) for each in line.connections),
        *(("--mount", each) for each in line.mounts),
        *(("--seal", f"{seal}={state}") for seal, state in line.seals),
        *(("--photo", str(pictures / photo)) for photo in line.photos),
    ]
    return [word for pair in [*((name, value) for name, value in single.items() if value), *several] for word in pair]


def _write_down(walk: _Walk, papers: Papers, folder: Path) -> None:
    from demo_db.build import name_of

    for row in papers.provenance:
        words = ["--how", row["how"], "--lane", row["lane"], "--on", row["on"], "--attribution", row["attribution"]]
        words += ["--party", row["party"], "--text", row["text"]]
        walk.type("provenance", "note", walk.tags[name_of(row)], *words, by="Maud")
    for row in papers.seals:
        words = ["--seal", row["seal"], "--state", row["state"], "--on", row["on"]]
        walk.type("seal", "note", walk.tags[name_of(row)], *words)
    for row in papers.work:
        words = ["--what", row["what"], "--where", row["area"], "--product", row["product"], "--on", row["on"]]
        walk.type("work", "log", walk.tags[name_of(row)], *words)
    for row in papers.values:
        words = ["--amount", row["amount"], "--currency", row["currency"], "--basis", row["basis"]]
        words += ["--source", row["source"], "--on", row["on"]]
        walk.type("value", "note", walk.tags[name_of(row)], *words, by="Maud")
    taken = {photo for line in _lines() for photo in line.photos}
    for row in papers.pictures:
        if row["file"] not in taken:
            words = [str(folder / "pictures" / row["file"]), "--shows", row["shows"], "--on", row["taken on"]]
            walk.type("document", "add", walk.tags[name_of(row)], *words)


def _lines() -> tuple[StripLine, ...]:
    from demo_db.notebook import strip_down

    return strip_down().lines


def _bench(walk: _Walk, papers: Papers) -> None:
    for note in papers.readings:
        words = [word for reading in note.readings for word in ("--reading", reading)]
        words += [word for blank in note.blanks for word in ("--blank", blank)]
        words += [word for name, value in note.conditions.items() for word in (f"--{name}", value)]
        walk.type("bench", "run", note.procedure, walk.tags[note.part], *words, "--on", note.on, by=note.by)
