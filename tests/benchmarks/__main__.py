"""All benchmarks in one command: a table as JSON and a plot. python -m tests.benchmarks FOLDER [NAME ...]

FOLDER gets `benchmarks.json` and `benchmarks.svg`. NAME: one of the modules here without `test_`, such as `pairs`.
"""

from __future__ import annotations

import json
import math
import os
import platform
import sys
from collections.abc import Sequence
from html import escape
from pathlib import Path

import pytest

from tests.benchmarks.report import MEASURED, Measured

_WIDTH, _LABEL, _ROW = 900, 430, 22


def main(words: Sequence[str]) -> int:
    """Run the benchmarks named, or all; write what was measured. Gives the exit status of the run."""
    if not words:
        print(__doc__, file=sys.stderr)
        return 2
    folder = Path(words[0])
    folder.mkdir(parents=True, exist_ok=True)
    here = Path(__file__).parent
    files = [str(here / f"test_{name}.py") for name in words[1:]] or [str(here)]
    status = int(pytest.main(["-q", "-s", *files]))
    on = {"machine": platform.machine(), "cores": os.cpu_count(), "python": platform.python_version()}
    rows = [{**row._asdict(), "ratio": row.ratio} for row in MEASURED]
    (folder / "benchmarks.json").write_text(json.dumps({**on, "measured": rows}, indent=1), encoding="utf-8")
    (folder / "benchmarks.svg").write_text(plotted(MEASURED), encoding="utf-8")
    return status


def plotted(rows: Sequence[Measured]) -> str:
    """A bar for each ratio to the bare floor, on a logarithmic scale, as SVG."""
    most = max([10.0, *(row.ratio for row in rows)])
    least = min([0.5, *(row.ratio for row in rows)])

    def at(ratio: float) -> float:
        return _LABEL + (_WIDTH - _LABEL - 70) * math.log(ratio / least) / math.log(most / least)

    drawn = []
    for place, row in enumerate(rows):
        y = 30 + place * _ROW
        label = escape(f"{row.title}: {row.name}"[:72])
        drawn.append(f'<text x="{_LABEL - 8}" y="{y + 13}" text-anchor="end">{label}</text>')
        drawn.append(f'<rect x="{_LABEL}" y="{y + 2}" width="{max(at(row.ratio) - _LABEL, 1):.1f}" height="14"/>')
        drawn.append(f'<text x="{at(row.ratio) + 6:.1f}" y="{y + 13}">{row.ratio:.2f}x</text>')
    height = 40 + len(rows) * _ROW
    line = f'<line x1="{at(1):.1f}" y1="24" x2="{at(1):.1f}" y2="{height - 8}"/>'
    style = "<style>text{font:12px sans-serif}rect{fill:#7a8ca3}line{stroke:#333}</style>"
    head = f'<text x="{at(1):.1f}" y="18" text-anchor="middle">1x: the bare floor</text>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH}" height="{height}">'
        f"{style}{head}{line}{''.join(drawn)}</svg>\n"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
