"""Every command of the contract on the demo's record, as a whole process, beside one that imports sqlalchemy.orm.

Each run has its own copy of the record, made before the clock starts, and is in turn with the bare floor.
MATCHMARK_BENCH_RUNS sets how many.
"""

from __future__ import annotations

import os
import shlex
import shutil
import statistics
import sys
from collections.abc import Callable
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

from inventory.cli import main
from inventory.facts.views import facts_of
from inventory.opening import open_record
from inventory.parts.load_lines import find, lines
from tests.benchmarks.report import run_command, table, timed

RUNS = int(os.environ.get("MATCHMARK_BENCH_RUNS", "7"))
FLOOR = [sys.executable, "-c", "import sqlalchemy.orm"]
COMMAND = [sys.executable, "-c", "import sys; from tui.entry import main; sys.exit(main())"]

COMMANDS = """
new
car add "Red saloon" --maker Halvard --model "Orsel injection" --year 1972 --chassis OR-20417
teardown begin "Blue coupe"
teardown log --kind "pressure sensor" --maker Ostrell --part-number "HV 204 118" --match-code K --axis across --fastener "3x M6x20 hex" --condition 2 --note "one stud bent"
teardown status
teardown close
seal note {tag} --seal cap --state intact --on 2026-03-02
bench list --kind "pressure sensor"
bench run hold {tag} --reading 0s=50cmHg --reading 5s=49cmHg --reading 10s=48cmHg --resolution 1cmHg --blank 0s=50cmHg --blank 10s=50cmHg --volume 60ml --ambient 20degC --barometer 1005hPa
bench run resistance {tag} --reading primary=94.1ohm --reading secondary=361ohm --reading case=OL --ambient 31degC --meter "0.8% + 2 x 0.1ohm"
bench history {tag}
evidence {tag}
appraise --kind "pressure sensor" --part-number "HV 204 118" --price 280 --carriage 25 --currency EUR --worth 850 --repair 400 --core 90 --claim tested --seal cap=intact --match-code K
part find K intact
part show {tag}
fact list {tag}
fact withdraw {note} --reason "wrong part"
fact correct {note} --set "text=two studs bent" --reason misread
pairs
pairs {tag}
pairs plan
pairs set injector --size 6
work log {tag} --what "new mounts" --where outside --on 2026-03-04
refit fit {tag} --position "inner wing, behind the left headlamp" --override "to try it"
value note {tag} --amount 850 --currency EUR --basis market --on 2026-02-01 --source "two sale results"
condition-list --as-of 2026-03-31 --basis market --json
condition-list -o {folder}/list.xlsx --as-of 2026-03-31 --basis market --over
sheet template {folder}/t.xlsx --over
sheet read {sheet} --try
sheet read {sheet}
sheet write {folder}/all.xlsx --over
verify
"""


def test_commands(tmp_path: Path) -> None:
    with redirect_stdout(StringIO()):
        assert main(["demo", str(tmp_path / "demo")]) == 0
    known = known_of(tmp_path / "demo" / "workshop.db") | {"folder": str(tmp_path)}
    sheet = tmp_path / "sheet.csv"
    sheet.write_text("kind;maker;part number;serial\nrelay;Tolvranne;12-R4;90001\nrelay;Tolvranne;12-R4;90002\n")
    rows = []
    for line in COMMANDS.strip().split("\n"):
        words = shlex.split(line.format(**known, sheet=sheet))
        rows.append((line[:46], *compared(words, tmp_path)))
    table("Commands of the contract on the demo, against importing sqlalchemy.orm", rows)
    print(f"  worst {max(ours / floor for _, ours, floor in rows):.2f}x")


def known_of(path: Path) -> dict[str, str]:
    """The pressure sensor of the errand, and a note on it."""
    record = open_record(str(path))
    with record.read() as session:
        (line,) = lines(session, find(session, ["71-40822"]).keys)
        (note,) = [fact for fact in facts_of(session, line.id) if fact.table == "note"]
    record.close()
    return {"tag": line.tag, "note": note.id}


def compared(words: list[str], folder: Path) -> tuple[float, float]:
    """The medians of a command, on a copy of its own each time, and of the floor."""
    copy = folder / "copy" / "workshop.db"
    ours = run_command([*COMMAND, *words, "--record", str(copy), "--by", "Ines"])
    fresh = _fresh(folder / "demo" / "workshop.db", copy, there=words != ["new"])
    floor = run_command(FLOOR)
    pairs = []
    for _ in range(RUNS + 1):
        fresh()
        pairs.append((timed(ours), timed(floor)))
    return statistics.median(pair[0] for pair in pairs[1:]), statistics.median(pair[1] for pair in pairs[1:])


def _fresh(record: Path, copy: Path, *, there: bool) -> Callable[[], None]:
    def make() -> None:
        shutil.rmtree(copy.parent, ignore_errors=True)
        copy.parent.mkdir()
        if there:
            shutil.copy(record, copy)
            documents = f"{record.name}.documents"
            copy.with_name(documents).symlink_to(record.with_name(documents))

    return make
