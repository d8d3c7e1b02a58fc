"""The condition list of many parts as a PDF, two pictures of 12 megapixels each, in a process of its own.

It is compared with Pillow making the same small pictures and nothing else. MATCHMARK_BENCH_PDF sets the number of
parts, MATCHMARK_BENCH_RUNS how often.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from pathlib import Path

from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.valuation.actions import note_value
from tests.benchmarks.report import table
from tests.pictures_made import picture_bytes

PARTS = int(os.environ.get("MATCHMARK_BENCH_PDF", "500"))
RUNS = int(os.environ.get("MATCHMARK_BENCH_RUNS", "3"))

_WRAP = """
import resource, sys, time
from pathlib import Path
source, target = sys.argv[1:]
start = time.perf_counter()
{body}
print(time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""
_OURS = """
from inventory.opening import open_record
from inventory.condition_list.actions import give_out
give_out(open_record(source), "Maud", Path(target), overwrite=True)
"""
_FLOOR = """
import io
from PIL import Image
for place, path in enumerate(sorted(path for path in Path(source + ".documents").glob("??/*") if path.is_file())):
    picture = Image.open(path)
    longest = 420 if place % 2 else 330
    picture.draft("RGB", (longest, longest))
    picture.thumbnail((longest, longest))
    picture.save(io.BytesIO(), "JPEG", quality=58)
"""


def test_list_pdf(sqlite_template: bytes, tmp_path: Path) -> None:
    source, target = tmp_path / "workshop.db", tmp_path / "list.pdf"
    source.write_bytes(sqlite_template)
    _fill(source)
    found = {}
    for name, body in (("ours", _OURS), ("floor", _FLOOR)):
        command = [sys.executable, "-c", _WRAP.format(body=body), str(source), str(target)]
        runs = [subprocess.run(command, check=True, capture_output=True, text=True).stdout for _ in range(RUNS)]
        found[name] = [tuple(map(float, told.split())) for told in runs]
    ours, floor = (statistics.median(seconds for seconds, _ in found[name]) for name in ("ours", "floor"))
    most = max(each for _, each in found["ours"])
    table(
        f"Condition list of {PARTS} parts with two pictures each",
        [(f"pdf, {most:.0f} MB at most", ours, floor)],
        "s",
        1,
    )


def _fill(path: Path) -> None:
    """Parts with a value, a condition, and two pictures each, which differ in their last bytes."""
    record, held = open_record(str(path)), picture_bytes(size=(4000, 3000), seed=3)
    file = path.with_name("picture.jpg")
    with record.write() as session:
        for number in range(PARTS):
            read = Markings(kind="pressure sensor", maker="Ostrell", part_number="HV 204 118", serial=f"{number:06}")
            tag = parts.add_part(session, "Maud", read, on="2026-01-05")
            note_value(session, "Maud", tag, str(100 + number), "EUR", source="two sale results", on="2026-01-05")
            parts.assess(session, "Maud", tag, 2, damage="one stud bent", on="2026-01-07")
            for shows in ("whole", "marking"):
                file.write_bytes(held + f"{number} {shows}".encode())
                parts.attach(session, "Maud", tag, file, shows=shows, on="2026-01-08")
    record.close()
