"""`matchmark demo`: an invented workshop, and one errand in it, done with the commands a person would type.

It prints a short story for somebody who has never seen the program: sentences, the commands that matter and
the lines of their answers that matter. Every command with its full answer goes to a text file beside the
record.
"""

from __future__ import annotations

import contextlib
import io
import json
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, pass_door_for_writing, subcommand
from inventory.cli.options import FILE
from inventory.cli.streams import say
from inventory.errors import Refused
from inventory.store.files import whole_file
from inventory.store.systems import private_folder, quoted, why_not, write_text

if TYPE_CHECKING:
    from demo_db.build import Papers
    from demo_db.notebook import PartName, StripLine

LAST_DAY = "2026-03-31"
_WIDTH = 80
_FIRST, _LAST = slice(1), slice(-1, None)
"""Which lines of an answer are printed."""
_BEGINS = (
    "One errand in an invented workshop, command by command. Long commands are shortened here; {} has all of "
    "them in full, with their answers."
)
_LEFT = """
Left in {folder}:
  workshop.db          the record
  condition-list.xlsx  the list for the insurer
  pair-report.txt      the best pairs from the whole shelf
  walk.txt             every command of this errand, with its full answer

Now open the browser on it (Ctrl+Q leaves it):
  matchmark --record {folder}/workshop.db"""


@subcommand("demo")
@click.argument("folder", default="matchmark-demo", type=FILE)
@pass_door_for_writing
def command(door: Door, folder: Path) -> Answer:
    """Build an invented workshop in FOLDER and do one errand in it: the injection of the Green tourer."""
    from demo_db.build import build

    _make_folder(folder)
    say(textwrap.fill(_BEGINS.format(folder / "walk.txt"), _WIDTH))
    record, papers = build(folder)
    record.close()
    walk = _Walk(folder / "workshop.db")
    _errand(walk, papers, folder)
    with whole_file(folder / "walk.txt") as part:
        write_text(part, "\n".join(walk.whole))
    if walk.went_wrong:
        raise Refused(
            "demo-went-wrong", f"One of the commands of the demo was refused: {walk.went_wrong[0]}", unchanged=False
        )
    names = {"record": "workshop.db", "condition_list": "condition-list.xlsx", "pair_report": "pair-report.txt"}
    left = {key: f"{folder}/{name}" for key, name in {**names, "walk": "walk.txt"}.items()}
    return Answer(left, _LEFT.format(folder=folder))


def _make_folder(folder: Path) -> None:
    try:
        private_folder(folder.parent)
        folder.mkdir(mode=0o700)
    except OSError as problem:
        if folder.exists():
            says = f"There is already a file or folder {folder}"
            raise Refused("folder-exists", says, hint="give another folder: matchmark demo FOLDER") from None
        raise Refused("folder-not-writable", f"The folder {folder} cannot be made: {why_not(problem)}") from None


class _Walk:
    """Types commands as a person would. `whole`: every command with its answer; `tags`: of the parts that came off."""

    def __init__(self, record: Path) -> None:
        self.record = record
        self.went_wrong: list[str] = []
        self.whole: list[str] = []
        self.tags: dict[PartName, str] = {}

    def type(self, *words: str, by: str = "Ines", show: slice | None = None) -> str:
        """Run one command on the record and return its answer. `show`: which of its lines to print."""
        answer = self._run(words, by)
        self.whole.append(f"$ matchmark {' '.join(map(quoted, words))}\n{answer.rstrip()}\n")
        if show is not None:
            say("\n".join([_short(words), *_wrapped(answer.rstrip().split("\n")[show])]))
        return answer

    def ask(self, *words: str) -> Any:
        """Run one command for this walk only, without printing or saving it; return its answer as data."""
        return json.loads(self._run((*words, "--json"), "Ines"))

    def say(self, text: str) -> None:
        """A sentence between commands."""
        self.whole.append(f"# {text}\n")
        say(f"\n{textwrap.fill(text, _WIDTH)}")

    def _run(self, words: tuple[str, ...], by: str) -> str:
        from inventory.cli.app import run

        out = io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
            status = run([*words, "--record", str(self.record), "--by", by])
        if status not in (0, 1):
            self.went_wrong.append(f"{' '.join(map(quoted, words))}: {out.getvalue().strip()}")
        return out.getvalue()


def _short(words: tuple[str, ...]) -> str:
    """A command on one line; if it is too long, its last words are left out."""
    typed = [quoted(word) for word in words]
    whole = f"  $ matchmark {' '.join(typed)}"
    while len(whole) > _WIDTH:
        typed.pop()
        whole = f"  $ matchmark {' '.join(typed)} ..."
    return whole


def _wrapped(lines: list[str]) -> list[str]:
    return [
        row
        for line in lines
        for row in textwrap.wrap(line.strip(), _WIDTH, initial_indent="  ", subsequent_indent="    ")
    ]


def _errand(walk: _Walk, papers: Papers, folder: Path) -> None:
    from demo_db.notebook import PartName

    sensor = PartName("Ostrell", "HV 204 118", "71-40822")
    walk.say("Saturday, 28 February 2026. Ines takes the injection off the Green tourer.")
    _strip(walk)
    walk.say("Now the pressure sensor is on the bench. First its cap, which seals an adjuster.")
    _write_down(walk, papers, folder, sensor)
    tag = walk.tags[sensor]
    walk.say("It must hold a vacuum. The first gauge is too coarse to tell, the second is not.")
    _bench(walk, papers)
    walk.say("How likely is the sensor to be good, and what could no test so far have shown?")
    walk.type("evidence", tag, show=_FIRST)
    (dug_out,) = [part["tag"] for part in walk.ask("part", "find", "71-40377")["parts"]]
    walk.type("bench", "sweep", dug_out, by="Bertil")
    walk.say("Which control unit was the sensor set with in the factory?")
    walk.type("pairs", tag, show=_FIRST)
    walk.type("part", "find", "K", "intact")
    walk.say("Now the best pairs from the whole shelf.")
    report = walk.type("pairs", "plan", show=_LAST)
    with whole_file(folder / "pair-report.txt") as part:
        write_text(part, report)
    walk.say("The insurer asked for a list as of the end of March.")
    target = folder / "condition-list.xlsx"
    words = ("condition-list", "-o", str(target), "--as-of", LAST_DAY, "--basis", "market", "--names", "cut")
    walk.type(*words, by="Maud", show=slice(3))
    walk.type("part", "show", tag)
    walk.say("Was anything changed outside the program?")
    walk.type("verify", show=_FIRST)


def _strip(walk: _Walk) -> None:
    """Take the injection off; print the first part and the correction of a misread serial."""
    from demo_db.notebook import PartName, strip_down

    day = strip_down()
    walk.type("teardown", "begin", day.car, "--care", day.care, "--on", day.on)
    before = {part["tag"] for part in walk.ask("part", "find")["parts"]}
    for line in day.lines:
        if line.stays:
            walk.type("teardown", "stays", line.position, "--why", line.stays, "--on", day.on)
            continue
        words = [*_options(line, walk.record.parent / "pictures"), "--on", day.on]
        walk.type("teardown", "log", *words, show=None if walk.tags else _FIRST)
        (part,) = [part for part in walk.ask("part", "find")["parts"] if part["tag"] not in before]
        before.add(part["tag"])
        walk.tags[PartName(line.maker, line.part_number, line.serial)] = part["tag"]
        walk.ask("place", "put", part["tag"], day.place, "--on", day.on)
        if line.correction is not None:
            fix = line.correction
            (fact,) = walk.ask("part", "show", part["tag"])["markings"]
            change = f"{fix.name}={fix.to}"
            walk.say("One serial was misread. It is corrected; the first reading stays on record.")
            walk.type("fact", "correct", fact["id"], "--set", change, "--reason", fix.reason, show=_FIRST)
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


def _write_down(walk: _Walk, papers: Papers, folder: Path, shown: PartName) -> None:
    """Record what the papers say about the parts that came off; print one seal of the part `shown`."""
    from demo_db.build import name_of

    for row in papers.provenance:
        words = ["--how", row["how"], "--lane", row["lane"], "--on", row["on"], "--attribution", row["attribution"]]
        words += ["--party", row["party"], "--text", row["text"]]
        walk.type("provenance", "note", walk.tags[name_of(row)], *words, by="Maud")
    for row in papers.seals:
        words = ["--seal", row["seal"], "--state", row["state"], "--on", row["on"]]
        show = _FIRST if (name_of(row), row["seal"]) == (shown, "cap") else None
        walk.type("seal", "note", walk.tags[name_of(row)], *words, show=show)
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
    walk.type("bench", "list", "--kind", "pressure sensor")
    for note in papers.readings:
        words = [word for reading in note.readings for word in ("--reading", reading)]
        words += [word for blank in note.blanks for word in ("--blank", blank)]
        words += [word for name, value in note.conditions.items() for word in (f"--{name}", value)]
        show = _FIRST if note.procedure == "hold" else None
        walk.type("bench", "run", note.procedure, walk.tags[note.part], *words, "--on", note.on, by=note.by, show=show)
