"""Every command once, with the keys of its JSON: REFERENCE.md. To write it anew: python -m tests.docs.reference

The commands of `LINES` are run in turn in an empty folder; what each answers gives the keys and their types.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import shlex
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

from inventory.cli import main
from inventory.cli.app import root
from inventory.store.days import clock
from tests.docs.commands import commands
from tests.docs.readme import NOON
from tests.pictures_made import picture_bytes

__all__ = ["FILE", "LINES", "reference"]

FILE = Path(__file__).with_name("REFERENCE.md")
_HEAD = """# The keys of the JSON

Each command with `--json` prints one document. This page is written by running each command once (`python -m
tests.docs.reference`), so a list that was empty then shows no keys. `a.b` is `b` within `a`; `a[]` is each of a list; `|` stands between types.
`demo` and `crew` (on a server) are not run here. What the keys mean: "JSON" in DEVELOPERS.md. A command that writes also gives `contradictions[]`.
A refusal is `error.code`, `.message`, `.where`, `.hint`, `.unchanged`.
"""
_DEPTH = 3
_TYPES = {str: "text", bool: "yes or no", int: "number", float: "number", type(None): "null"}

#: One line for each command, in an order in which each can be done.
LINES = """
new
completion bash
car add "Green tourer" --maker Halvard --model "Orsel injection" --year 1972 --chassis OR-20417
car add "Blue coupe"
car add "Grey saloon"
car rename "Grey saloon" "White saloon"
car remove "White saloon" --why "entered twice"
car position "Green tourer" "inner wing" --ordinal 1 --kind "pressure sensor" --number "HV 204 118" --axis across
car position "Green tourer" bulkhead --kind "control unit"
car position "Green tourer" "wnig"
car rename-position "Green tourer" wnig wing
car remove-position "Green tourer" wing --why "a typing mistake"
car list copy "Green tourer" "Blue coupe"
car list of
car list of "Green tourer"
car list sets
car list use "early pressure-sensed injection" "Blue coupe" --cylinders 4
car mileage "Green tourer" 84210 --unit km
car insure "Green tourer" --whole --policy "P 7"
place add Workshop --premises "Mill Lane" --town Norbeck
place add B2 --within Workshop
place describe B2 --security "locked cabinet"
place list
car put "Green tourer" Workshop
contact add "Ulla Brandvesk" --role "bench specialist"
contact add "Old Keeper"
contact blank "Old Keeper" --reason asked
contact list
instrument add Gauge --what "vacuum gauge" --resolution 1cmHg
instrument calibrate Gauge --result passed
instrument doubtful Gauge
instrument list
instrument show Gauge
teardown begin "Green tourer" --on 2026-02-01
teardown log --tag K4127-7 --kind "pressure sensor" --maker Ostrell --part-number "HV 204 118" --serial 71-40822 --match-code K --position "inner wing" --axis across --fastener "3x M6x20 hex" --connection "4-pin plug" --mount "3x grommet 10 x 18 x 8" --condition 2 --note "one stud bent" --on 2026-02-02
teardown log --tag K2210-C --kind "control unit" --maker Halvard --part-number "HV 310 118" --serial 5512 --match-code K --position bulkhead --on 2026-02-02
teardown log --tag E1111-4 --kind injector --part-number "HV 7" --position "other wing" --new --with K2210-C --on 2026-02-02
teardown stays bulkhead --why "seized" --on 2026-02-03
teardown status
teardown close --on 2026-02-04
teardown paper "Green tourer" -o strip.pdf
part add --tag D2222-6 --kind relay --part-number 12-R4
part add --tag F1111-9 --kind injector --part-number "HV 7"
part add --tag N1111-C --kind relay
part add --tag P2222-T --kind relay
part apart E1111-4
part assess K4127-7 --condition 2 --light "daylight" --opened no
part describe K4127-7 --measurements "diameter 92 mm" --material "zinc alloy"
part note K4127-7 "came with a bracket"
part relation K4127-7 "same type and time" --car "Green tourer"
part find K
part show K4127-7
part history K4127-7
car show "Green tourer"
car history "Green tourer"
seal note K4127-7 --seal cap --state missing --on 2026-02-02
seal note K4127-7 --seal cap --state intact --on 2026-03-02
seal reading K4127-7 --type two-screw --part-load leaner
contradictions list
contradictions settle K4127-7 "seal cap" --answer "the earlier look was wrong" --why "it was the label"
bench list --kind "pressure sensor"
bench template own.toml
bench run hold K4127-7 --reading 0s=50cmHg --reading 5s=49cmHg --reading 10s=48cmHg --resolution 1cmHg --blank 0s=50cmHg --blank 10s=50cmHg --volume 60ml --ambient 20degC --barometer 1005hPa
bench run resistance K4127-7 --reading primary=94.1ohm --reading secondary=361ohm --reading case=OL --ambient 31degC --meter "0.8% + 2 x 0.1ohm"
bench run sweep K4127-7 --reading 0cmHg=3H --reading 10cmHg=2H --reading 0cmHg=3.1H
bench sweep K4127-7
bench history K4127-7
bench trend K4127-7
evidence claim K4127-7 --said tested
evidence of K4127-7
evidence due
evidence shares "pressure sensor"
fits add "HV 204 118" "HV 310 118"
fits supersede "HV 1" "HV 2"
fits list
pairs candidates
pairs offer ours.json
pairs against ours.json
pairs reserve K2210-C --why "for the tourer"
pairs release K2210-C --why "not needed"
pairs plan
pairs set injector --size 2
appraise --kind "pressure sensor" --part-number "HV 204 118" --price 280 --carriage 25 --currency EUR --worth 850 --repair 400 --core 90 --claim tested --seal cap=intact --match-code K --keep
offers list
offers show 1
offers answer 1 "no gauge was used"
offers bought 1 --paid 250
offers not-bought 1
offers like K4127-7
stolen add --serial 77-1 --kind relay --reference "P 9"
stolen list
work log K4127-7 --what "new mounts" --where outside --on 2026-03-04
work log K4127-7 --what set --where "on the unit" --on 2026-03-05
pairs paper K4127-7 --document paper.txt
labels print K4127-7 -o labels.pdf
labels print --blank 2 -o roll.pdf
labels rolls
labels car-side "K4127-7 C1" plug
labels belongs K4127-7 "K4127-7 C1"
labels swap N1111-C P2222-T
labels wrong N1111-C X1111-P
recall zinc
refit assign K4127-7 --position "inner wing"
refit job add "Green tourer" "clip the loom"
refit job list "Green tourer"
refit job done job-1
refit plan "Green tourer"
refit ready "Green tourer"
refit hardware "Green tourer"
refit fit K4127-7 --position "inner wing" --override "to try it"
refit start "Green tourer"
refit altered "Green tourer" "a hole drilled"
hardware stock M6x20 --count 12 --place B2
hardware list
hardware read M6x20
place put D2222-6 B2
place show B2
provenance note K4127-7 --how bought --party "Ulla Brandvesk" --price 280 --currency EUR --on 2026-01-10
provenance note F1111-9 --how "sent out" --party "Ulla Brandvesk" --due 2026-12-01
provenance away
slip F1111-9 -o slip.pdf
document add K4127-7 a.jpg --shows whole
document get a.jpg -o copy.jpg
photos pictures --try
value note K4127-7 --amount 850 --currency EUR --basis market --on 2026-02-01 --source "two sale results"
value due
value rate EUR CHF 0.95 --source "the bank"
value rates
policy set --owner "Ulla Brandvesk" --policy "P 7"
policy show
condition-list draw -o list.xlsx --names keep
condition-list given 1 --to "Ulla Brandvesk"
condition-list list
condition-list lodge 1
condition-list check list.xlsx
condition-list spot 1 --items 2 --seed 7
setting-paper draw K4127-7 --unit "HV 310 118 K" -o set.pdf
setting-paper given 1 --to "Ulla Brandvesk"
setting-paper list
for-those-after draw -o after.pdf --ask "Ulla Brandvesk"
for-those-after given 1 --to "Ulla Brandvesk"
for-those-after list
passport write K2210-C -o passport.zip
passport check passport.zip
passport given 1 --to "Ulla Brandvesk"
passport key show
passport key trust Ulla {key}
passport key list
passport list
passport read passport.zip --try
claim draw Workshop --as-of 2026-04-15 -o claim.zip --no-ask
claim given 1 --to "Ulla Brandvesk"
claim list
sale-sheet draw K2210-C -o sale.pdf
sale-sheet given 1 --to "Ulla Brandvesk"
sale-sheet list
sheet template t.xlsx
sheet read parts.csv --keep-answers
sheet maps
sheet write all.xlsx
export write heir
export given 1 --to "Ulla Brandvesk"
export list
stocktake begin
stocktake scan B2 D2222-6
stocktake show
stocktake close --no-moves
stocktake missing
stocktake begin
stocktake drop
fact add note K4127-7 --set "text=seen again"
fact list K4127-7
fact correct note-2 --set "text=two studs bent" --reason misread
fact withdraw note-3 --reason "wrong part"
limits take limits.toml
limits show
limits list
limits write now.toml
clock show
clock wrong --act note-1 --reason "the battery was flat"
fact redact note-1 --words "one stud bent" --reason "asked"
fact wipe
verify
backup copy.zip
restore copy.zip --record again.db
copy --to third.db
"""


def reference() -> str:
    """The page: every command and the keys of what it answered."""
    found: dict[str, dict[str, set[str]]] = {}
    names = sorted((name for name, _ in commands(root())), key=len, reverse=True)
    for words, document in _answers():
        name = next(each for each in names if words[: len(each.split())] == each.split())
        _take(found.setdefault(name, {}), "", document)
    return "\n".join([_HEAD, *(_section(name, found.get(name, {})) for name, _ in commands(root()))])


def _section(name: str, keys: dict[str, set[str]]) -> str:
    """One line for each object: its keys with their types."""
    objects: dict[str, list[str]] = {}
    for key, types in keys.items():
        parent, _, word = key.rpartition(".")
        objects.setdefault(parent, []).append(f"{word} ({' | '.join(sorted(types))})" if types else word)
    lines = [
        f"- {f'`{parent}`' if parent else 'the document'}: {', '.join(words)}" for parent, words in objects.items()
    ]
    return "\n".join([f"## {name}", "", *lines, ""])


def _take(keys: dict[str, set[str]], path: str, value: Any, depth: int = 0) -> None:
    """The keys of a document, down to a depth. Names that are data (tags, currencies) stand as `*`."""
    if isinstance(value, dict):
        keys.setdefault(path, set()) if path else None
        for key, held in value.items():
            word = key if key.replace("_", "").isalpha() and key.islower() else "*"
            if depth < _DEPTH and word != "contradictions":
                _take(keys, f"{path}.{word}".lstrip("."), held, depth + 1)
    elif isinstance(value, list):
        keys.setdefault(f"{path}[]", set())
        for held in value:
            _take(keys, f"{path}[]", held, depth)
    else:
        keys.setdefault(path, set()).add(_TYPES[type(value)])


def _answers() -> Iterator[tuple[list[str], Any]]:
    with tempfile.TemporaryDirectory() as folder, _in(Path(folder)), patch.object(clock, "now", lambda: NOON):
        picture = picture_bytes()
        Path("a.jpg").write_bytes(picture)
        Path("paper.txt").write_text("set for another", encoding="utf-8")
        Path("pictures").mkdir()
        Path("pictures/b.jpg").write_bytes(picture)
        Path("parts.csv").write_text("kind,serial\nrelay,90001\n", encoding="utf-8")
        Path("limits.toml").write_text(
            '[[kind]]\nname = "vacuum advance unit"\nplural = "vacuum advance units"\n', encoding="utf-8"
        )
        known = {"key": "AAAA"}
        for line in LINES.strip().splitlines():
            words = shlex.split(line.replace("{key}", known["key"]))
            said, told = io.StringIO(), io.StringIO()
            with contextlib.redirect_stdout(said), contextlib.redirect_stderr(told):
                status = main([*words, "--json"])
            document = json.loads(said.getvalue())
            if status not in (0, 1) or "error" in document:
                raise AssertionError(f"{line}: {status}, {told.getvalue()}")
            known.update({name: value for name, value in document.items() if name in known and isinstance(value, str)})
            yield words, document


@contextlib.contextmanager
def _in(folder: Path) -> Iterator[None]:
    before = Path.cwd()
    os.chdir(folder)
    own = {"MATCHMARK_RECORD": "workshop.db", "MATCHMARK_BY": "Ines", "TZ": "UTC", "XDG_DATA_HOME": str(folder / "own")}
    try:
        with patch.dict(os.environ, own):
            yield
    finally:
        os.chdir(before)


if __name__ == "__main__":
    FILE.write_text(reference(), encoding="utf-8")
