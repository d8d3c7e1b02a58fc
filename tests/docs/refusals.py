"""Every refusal, brought about once, and what it says. To write refusals.toml anew: python -m tests.docs.refusals

A try is a command on the workshop that `SET_UP` builds, or a call where no command leads there. Each is refused, so
the workshop stays as it is from one try to the next.
"""

from __future__ import annotations

import ast
import contextlib
import io
import json
import os
import shlex
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any
from unittest.mock import patch

from inventory.bench.instruments.calibration import correction_line
from inventory.bench.quantities.readings import parse_timed
from inventory.cli import main
from inventory.errors import Refused
from inventory.facts.declare import Cell
from inventory.reference.data import PROGRAM
from inventory.seals.adjuster import read_adjuster
from inventory.sheets.columns.cells import amount_of, day_of, yes_or_no
from inventory.sheets.plan.lists import LIST_SHEETS
from tests.docs.readme import NOON
from tests.judging import check
from tui.data.sheets import entries_of

__all__ = ["CALLS", "COMMANDS", "ELSEWHERE", "FILE", "NEVER_SEEN", "codes_in_source", "kept", "refusals"]

FILE = Path(__file__).with_name("refusals.toml")
_ROOT = Path(__file__).parents[2]
_HOLD = "bench run hold K4127-7 --reading 0s=50cmHg --reading 10s=48cmHg"
_PLAIN = "bench run resistance K4127-7 --reading primary=94ohm"

_FILES = {
    "empty.csv": "",
    "bare.csv": "0,50\n10,48\n",
    "untimed.csv": "Time,Vacuum (kPa)\n0,50\n10,48\n",
    "double.csv": "Time (s),P1 (kPa),P2 (kPa)\n0,50,50\n10,48,49\n",
    "lost.csv": "Time (s),Vacuum (kPa)\n0,50\n5,lost\n10,48\n",
    "back.csv": "Time (s),Vacuum (kPa)\n0,50\n10,48\n0,50\n",
    "absolute.csv": "Time (s),Absolute pressure (kPa)\n0,34\n10,36\n",
    "either.csv": "Time (s),Pressure (kPa)\n0,50\n10,48\n",
    "paper.txt": "set for another",
    "folder/paper.txt": "set for ours",
    "offer.json": "[1]",
    "parts.csv": "kind,serial\nrelay,1\nrely,2\n",
    "bought.csv": "kind,serial,acquired on\nrelay,1,3/4/2019\n",
    "nothing.csv": "colour,shape\nred,round\n",
    "doubtful.csv": "kind,No.\nrelay,12\nrelay,13\n",
    "locked.pdf": "%PDF-1.7",
    "own.toml": '[[kind]]\nname = "car"\nplural = "cars"\n',
    "bytes.toml": "\udcff",
    "other.db": "no record",
    "gone.db-wal": "",
}

SET_UP = (
    "new",
    'car add "Green tourer"',
    'car add "Blue coupe"',
    'car add "Grey saloon"',
    'car position "Green tourer" wing',
    "place add B2",
    "place add Wing",
    "car add Wing",
    'contact add "Ulla Brandvesk"',
    'contact add "Old Keeper"',
    'contact blank "Old Keeper" --reason asked',
    "instrument add Gauge",
    "teardown begin 'Green tourer' --on 2026-02-01",
    "part add --tag K4127-7 --kind 'pressure sensor' --part-number 'HV 204 118' --serial 71-40822 --match-code K",
    "part add --tag K2210-C --kind 'control unit' --part-number 'HV 310 118' --match-code K",
    "part add --tag C1111-V --kind 'pressure sensor'",
    "part add --tag D2222-6 --kind relay",
    "part add --tag E1111-4 --kind injector",
    "part add --tag F1111-9 --kind loom",
    "part add --tag H1111-J --kind 'air temperature sensor'",
    "part add --tag J1111-T --kind 'full-load pressure switch'",
    "teardown log --tag K5555-P --kind relay --on 2026-02-02",
    "refit fit D2222-6 --car 'Blue coupe' --position wing",
    "provenance note C1111-V --how sold --on 2026-03-01",
    "pairs reserve K2210-C",
    "fits supersede 'HV 1' 'HV 2'",
    "document add K4127-7 paper.txt",
    "document add K2210-C folder/paper.txt",
    "part note K4127-7 seen",
    "fact correct note-1 --set text=heard --reason misheard",
    "bench run sweep K4127-7 --reading 0cmHg=3H --reading 10cmHg=2H --reading 0cmHg=3.1H",
    "teardown begin 'Grey saloon'",
    "labels --blank 1 -o roll.pdf",
    "labels car-side 'K2210-C C1' plug",
    "part add --tag N1111-C --kind relay",
    "part add --tag P2222-T --kind relay",
    "part add --tag R2222-2 --kind relay",
    "part add --tag T1111-5 --kind relay",
    "labels swap N1111-C P2222-T",
    "labels wrong N1111-C X1111-P",
    "labels swap R2222-2 T1111-5",
    "refit job add 'Green tourer' 'clip the loom'",
    "refit job done job-1",
    "condition-list -o first.csv --names keep",
    "value note K2210-C --amount 5 --currency EUR --source 'ulla brandvesk said so'",
    "fact add place B2 --set label=2K411-N",
    "part add --tag C3333-8 --kind 'pressure sensor' --part-number 'HV 8' --match-code Z",
    "part add --tag C4444-F --kind 'control unit' --part-number 'HV 9' --match-code Z",
    "fits add 'HV 8' 'HV 9'",
    "work log C1111-V --what set --where 'on the unit'",
    *(f"seal note C3333-8 --seal {seal} --state intact" for seal in ("cap", "label", "sealant")),
    "provenance note F1111-9 --how 'left here by a customer'",
    "stocktake begin --by Jory",
)

COMMANDS = (
    # Papers for others.
    "offers show 77",
    "offers like D2222-6",
    "offers bought offer_seen-99",
    "setting-paper K4127-7 --unit 'HV 310 118 M'",
    "setting-paper C1111-V --unit 'HV 310 118 M'",
    "setting-paper C3333-8 --unit 118",
    "for-those-after --ask 'Ulla Brandvest'",
    "claim 'Green tourist' --as-of 2026-03-01 -o claim.zip",
    "sale-sheet F1111-9",
    "sale-sheet C1111-V",
    "sale-sheet C4444-F -o sheet.pdf",
    # Cars, teardown, refit, places.
    "car add ''",
    "car add -",
    "fact list Wing",
    "fact list Wing --of boat",
    "fact add 'adjuster found' 'Green tourer' --set adjuster=idle --set before=3",
    "fact add mishap K4127-7 --set mishap=dropped --set Mishap=heated",
    "provenance note D2222-6 --how bought --due 2026-05-01",
    "slip D2222-6 -o slip.pdf",
    "provenance note D2222-6 --how 'sent out' --on 2026-03-01 --due 2026-02-01",
    "fact add provenance D2222-6 --set lane=title --set how=bought --set attribution=inferred --set certainty=sure",
    "fact add rate record --set 'from currency=EUR' --set 'to currency=CHF' --set rate=0 --set source=bank",
    "fact add rate records --set 'from currency=EUR' --set 'to currency=CHF' --set rate=1 --set source=bank",
    "fact add 'relation to the car' D2222-6 --set relation=matching",
    "fact add mileage 'Green tourer' --set reading=10 --set unit=leagues",
    "fact add value D2222-6 --set amount=5 --set currency=EUR --set basis=market --set tax=perhaps",
    "recall ' '",
    "passport check empty.csv",
    "passport key trust Ada 12",
    f"passport key trust ' ' {'ab' * 32}",
    "work log D2222-6 --what painted --reversible perhaps",
    "work log D2222-6 --what painted --covered perhaps",
    "hardware stock M6x20 --count 10000 --place B2",
    "hardware stock 'fuel hose 7.5 x 13' --count 1 --place B2 --cured 1994",
    "fact add 'hardware stock' B2 --of place --set spec=M6x20",
    "car add 'green tourer'",
    "car position 'Green tourer' ''",
    "car position 'Green tourer' scuttle --axis acros",
    "car position 'Green tourer' wing --behind Wing",
    "car position 'Green tourer' 'wing; left'",
    "car list use 'early pressure' 'Green tourer'",
    "car list use 'early pressure-sensed injection' 'Green tourer'",
    "car list copy 'Green tourer' 'green tourer'",
    "car list copy 'Blue coupe' 'Green tourer'",
    "car show 'Gren tourer'",
    "part apart K4127-7",
    "place add ''",
    "place add unbekannt",
    "place add b2",
    "place put K4127-7 B3",
    "place put K4127-7",
    "place put K4127-7 2K413-J",
    "place describe B2 --within b2",
    "stocktake show",
    "stocktake begin --by Jory",
    "stocktake close --by Jory",
    "stocktake close --by Jory --move K4127-7",
    "stocktake close --by Jory --move all --no-moves",
    "stocktake scan --by Jory --off",
    "stocktake scan --by Jory --off K4127-7",
    "place describe B2",
    "fact add place B2 --set label=K41",
    "fact add place Wing --of place --set label=2K411-N",
    "teardown begin 'Green tourer'",
    "teardown close --car 'Blue coupe'",
    "teardown close",
    "teardown log --tag K4127-7 --car 'Green tourer'",
    "teardown log --kind relay --car 'Green tourer' --with D2222-6",
    "teardown log --tag D2222-6 --car 'Green tourer' --with D2222-6 --override back",
    "teardown stays wing --why ''",
    "car remove 'Green tourer' --why typo",
    "teardown log --kind relay --position wing --second perhaps",
    "refit fit K4127-7 --position wing",
    "refit fit K4127-7 --position wing --car 'Green tourer'",
    "refit fit D2222-6 --position wing --car 'Blue coupe'",
    "teardown begin Wing --ran perhaps",
    "refit assign K4127-7 --position wing",
    "refit altered 'Green tourer' ''",
    "refit job add 'Green tourer' ''",
    "refit job done job-77",
    "refit job done 1",
    "refit job add 'Green tourer' clip --before wing --after wing",
    "teardown paper 'Blue coupe' -o off.pdf",
    "fact add job 'Green tourer' --set text=clip --set 'before=Blue coupe / wing'",
    "refit start 'Green tourer' --good leeks",
    "refit start 'Green tourer' --bad leaks",
    # Parts.
    "part add",
    "part add --kind relais",
    "part add --kind relay --tag K4127-7",
    "car add {long}",
    "part show K4127",
    "part show K4127-8",
    "part show V1111-F",
    "part describe K4127-7",
    "part describe K4127-7 --match-code K --match-code-state 'label gone'",
    "part describe K4127-7 --match-code-state read",
    "part describe K4127-7 --match-code-state lost",
    "part describe K4127-7 --serial-state lost",
    "part describe K4127-7 --match-code K --match-code-read-from hearsay",
    "part assess K4127-7 --condition 4",
    "part assess K4127-7 --class mint",
    "fact add assessment K4127-7 --set category=1 --set opened=perhaps",
    "part note K4127-7 seen --on 2026-13-01",
    "part note K4127-7 seen --on 2027-01-01",
    "part find --record ''",
    "work log K4127-7 --what cleaned --where inside",
    "seal note K4127-7 --seal '' --state intact",
    "seal note K4127-7 --seal cap --state intakt",
    "contradictions settle K4127-7 letter --answer 'mine was wrong'",
    "contradictions settle K4127-7 letter --answer maybe",
    "contradictions settle K4127-7 weather --answer 'mine was wrong'",
    "contradictions settle K4127-7 letter --answer 'the earlier look was wrong'",
    "fits supersede 'HV 1' hv-1",
    "fits supersede 'HV 2' 'HV 1'",
    "fits add '' 'HV 1'",
    # Labels.
    "labels",
    "labels D2222-6",
    "labels D2222-6 -o part.pdf --roll 50x25 --sheet 70x37",
    "labels D2222-6 -o part.pdf --roll 50",
    "labels 'Grey saloon' -o car.pdf",
    "labels --blank 0 -o none.pdf",
    "labels --again 7 -o none.pdf",
    "labels wrong K2210-C K2210-C",
    "labels wrong K2210-C D2222-6",
    "labels swap K2210-C K2210-C",
    "labels car-side K2210-C plug",
    "labels car-side 'K2210-C C1' hose",
    "labels car-side 'K2210-C C2' hose --tag D2222-6",
    "fact add 'car-side label' K2210-C --set number=5 --set 'stuck on=plug'",
    "part add --kind relay --tag N1111-C",
    "part show N1111-C",
    "fact withdraw labelling-4 --reason wrong",
    # Facts.
    "fact withdraw note-99 --reason wrong",
    "fact withdraw note-1 --reason wrong",
    "fact withdraw marking-1 --reason ''",
    "fact withdraw strip_down-1 --reason wrong",
    "fact withdraw car_description-1 --reason wrong",
    "fact withdraw contact_description-1 --reason wrong",
    "fact correct contact_description-3 --set role=seller --reason wrong",
    "fact correct contact_description-1 --set role=seller --reason wrong",
    "fact correct note-2 --set text=heard --reason wrong",
    "fact correct note-2 --set text= --reason wrong",
    "fact correct note-2 --set colour=red --reason wrong",
    "fact correct bench_run-1 --set 0cmHg=2H --reason wrong",
    "fact correct removal-1 --set sequence=first --reason wrong",
    "fact correct removal-1 --set position=bonnet --reason wrong",
    "fact correct marking-1 --set 'part number=' --set x --reason wrong",
    "fact correct marking-1 --set serial=ditto --reason wrong",
    "fact add contact 'Ulla Brandvesk' --set role=seller",
    "fact add removal K4127-7 --set car='Green tourer'",
    "fact add mystery K4127-7 --set colour=red",
    "fact add withdrawal K4127-7 --set fact=note-1",
    "fact add supersession 'HV 1' --set 'by number=HV 77'",
    "fact add setting K4127-7 --set document=picture.jpg",
    "fact add setting K4127-7 --set document=paper.txt",
    "fact add provenance K4127-7 --set how=bought --set party=Nobody",
    "fact add fit 'HV 1' --set 'unit number=HV 2' --set fits=perhaps",
    "fact add insurance 'Green tourer' --set 'insured whole=perhaps'",
    "fact add reservation K4127-7 --set state=perhaps",
    # The bench.
    "bench run hald K4127-7 --reading 0s=50cmHg",
    "bench run hold D2222-6 --reading 0s=50cmHg",
    "bench run insulation K2210-C --reading 'primary to case=OL'",
    "bench run hold K4127-7 --reading 0s=40kPaabs",
    "bench run resistance K4127-7 --reading primary=94ohm --meter '1.6% fs'",
    "bench run hold K4127-7 --reading 0s",
    "bench run hold K4127-7 --reading soon=50cmHg",
    "bench run hold K4127-7 --reading 0s=50cmHg --reading 0s=49cmHg",
    "bench run hold K4127-7 --reading 0s=1,234cmHg",
    "bench run hold K4127-7 --reading 0s=50parsnips",
    "bench run hold K4127-7 --reading 0s=50ohm",
    "bench run hold K4127-7 --reading 0s=50inHg",
    "bench run hold K4127-7 --reading 0s=OL",
    f"{_HOLD} --volume 0ml",
    f"{_HOLD} --strokes 0",
    f"{_HOLD} --ambient 900degC",
    f"{_HOLD} --barometer 5hPa",
    f"{_HOLD} --barometer 1013hPa --altitude 1500m",
    f"{_HOLD} --altitude 9000m",
    f"{_HOLD} --barometer-end 1000hPa",
    f"{_HOLD} --gauge-at hose",
    f"{_HOLD} --meter 1%",
    f"{_HOLD} --instrument Gage",
    "bench run resistance K4127-7 --reading coil=5ohm",
    "bench run resistance K4127-7 --reading primary=94ohm --reading primary=OL",
    f"{_PLAIN} --meter good",
    f"{_PLAIN} --leads 40ohm",
    f"{_PLAIN} --lain perhaps",
    f"{_PLAIN} --clock noon",
    f"{_PLAIN} --just-off --lain yes",
    f"{_PLAIN} --at shelf",
    "bench run sweep K4127-7 --reading up:0cmHg=3H --reading up:10cmHg=2H",
    "bench run sweep K4127-7 --reading 0cmHg=3H --reading 20cmHg=1H --reading 10cmHg=2H --reading 15cmHg=1.5H",
    "bench run sweep K4127-7 --reading 0cmHg=3H --reading 10cmHg=2H --reading 10cmHg=2.1H --reading 20cmHg=1H",
    "bench run sweep K4127-7 --reading 0cmHg=0H",
    "bench run sweep K4127-7 --reading 0cmHg=3H --reference bench_run-99",
    "bench run sweep K4127-7 --reading 0cmHg=3H --reference K4127-7",
    "bench run spray E1111-4 --reading spray=lovely",
    "bench run flow E1111-4 --reading delivery=200ml/min --cleaned perhaps",
    "bench run pins F1111-9 --reading 14-15-16=OL",
    "bench run hold K4127-7 --readings-file empty.csv",
    "bench run hold K4127-7 --readings-file bare.csv",
    "bench run hold K4127-7 --readings-file untimed.csv",
    "bench run hold K4127-7 --readings-file double.csv",
    "bench run hold K4127-7 --readings-file lost.csv",
    "bench run hold K4127-7 --readings-file back.csv",
    "bench run hold K4127-7 --readings-file absolute.csv",
    "bench run hold K4127-7 --readings-file either.csv",
    "bench run hold K4127-7 --readings-file none.csv",
    "bench run resistance K4127-7 --readings-file bare.csv",
    "instrument add -",
    "instrument add gauge",
    "instrument add Meter --dial-unit furlong",
    "instrument add Meter --resolution fine",
    "instrument calibrate Gauge --result perhaps",
    "instrument calibrate Gauge --result passed --point 10cmHg",
    "instrument calibrate Gauge --result passed --point much=more",
    "instrument calibrate Gauge --result passed --point 10cmHg=10cmHg",
    "instrument show Gage",
    # Evidence, appraisal, pairs.
    "evidence claim K4127-7 --said ''",
    "evidence claim K4127-7 --said intact --test 'seal cap'",
    "evidence claim K4127-7 --said tested --test hald",
    "evidence claim K4127-7 --said tested --came-out perhaps",
    "evidence claim K4127-7 --said tested --source neighbour",
    "evidence claim K4127-7 --said tested --proof movie",
    "appraise --kind relay --price 10 --currency EUR --worth 20 --core 30",
    "appraise --kind relay --price 10 --currency EUR --worth 20 --seal cap",
    "appraise --kind relay --price 10 --currency EUR --worth 20 --answered colour",
    "pairs D2222-6",
    "pairs candidates K4127-7 --kind 'pressure sensor'",
    "pairs reserve K2210-C",
    "pairs release K4127-7",
    "pairs reserve C1111-V",
    "pairs paper K4127-7 --document paper.txt --for-number 'HV 310 118'",
    "pairs paper K4127-7 --document paper.txt --for K2210-C --for-number 'HV 310 118' --for-code K",
    "pairs set injector --size 1",
    "pairs set relay --size 2",
    "pairs against offer.json",
    # Provenance, values, the list.
    "contact add ''",
    "contact add 'ulla brandvesk'",
    "contact add 'Ulla Brandvesck'",
    "contact blank Nobody --reason asked",
    "contact blank 'Ulla Brandvesk' --reason 'Ulla Brandvesk asked'",
    "fact redact note-1 --reason asked",
    "fact redact note-1 --words Nobody --reason asked",
    "fact redact marking-1 --column serial --reason asked",
    "fact redact marking-1 --column colour --reason asked",
    "fact redact place_description-1 --words B2 --reason asked",
    "provenance note K4127-7 --how borrowed",
    "provenance note K4127-7 --how bought --lane road",
    "provenance note K4127-7 --how bought --whose nobody",
    "provenance note K4127-7 --how bought --attribution guessed",
    "document add K4127-7 none.jpg",
    "document add K4127-7 paper.txt --shows front",
    "document get none.jpg",
    "document get paper.txt",
    "document get 5ec8a59081ef --for others",
    "photos none",
    "photos folder --give none.jpg=K4127-7",
    "photos folder --clock soon",
    "value note K4127-7 --amount much --currency EUR",
    "value note K4127-7 --amount 1 --currency EURO",
    "value note K4127-7 --amount 1.234 --currency EUR",
    "value note K4127-7 --amount 1 --currency QQQ",
    "value note K4127-7 --amount 1 --currency XAU",
    "value note K4127-7 --amount 1 --currency EUR --tax perhaps",
    "value note K4127-7 --amount 1 --currency EUR --with k4127-7",
    "value rate EUR CHF 0 --source bank",
    "value rate EUR EUR 1 --source bank",
    "value rate EUR CHF 0.94 --source ''",
    "policy set",
    "value note K4127-7 --amount 1 --currency EUR --basis markt",
    "condition-list --as-of 2026-03",
    "condition-list -o list.doc",
    "condition-list --to Halmer",
    "condition-list -o named.csv",
    "condition-list check parts.csv",
    "condition-list check first.csv --fingerprint 12",
    "condition-list check first.csv --record ''",
    "condition-list spot 1 --items 0",
    "condition-list given 7 --to Halmer",
    "condition-list given 1 --to Halmer --on 2020",
    "clock wrong --reason battery --from 2030-01-01",
    "clock wrong --reason battery --from noon",
    "clock wrong --reason battery --act note-1 --from 2026-01-01",
    "clock wrong --reason battery --entries first",
    # Sheets and files.
    "sheet read parts.csv --strict",
    "sheet read parts.csv --rejects bad.csv",
    "sheet read parts.csv --answer colour=red",
    "sheet read bought.csv --answer dates=perhaps",
    "sheet read parts.csv --map x",
    "sheet read parts.csv --map kind=colour",
    "sheet read parts.csv --map colour=kind",
    "sheet read nothing.csv",
    "sheet read doubtful.csv",
    "sheet read locked.pdf",
    "sheet read full.xlsx --rejects full.xlsx --over",
    "sheet write all.doc",
    "sheet write all.csv --sheet shelf",
    "sheet template t.doc",
    "export folder",
    "sheet template full.xlsx",
    "pairs offer paper.txt",
    "pairs offer folder",
    "pairs offer none/offer.json",
    "pairs offer workshop.db --over",
    "pairs against huge.json",
    # Copies.
    "backup",
    "backup --place none",
    "backup copy.zip --encrypt",
    "backup copy.zip --passphrase-file empty.csv",
    "restore paper.txt --record back.db",
    # Records.
    "new --record gone.db",
    "new",
    "part find --record none.db",
    "part find --record folder",
    "part find --record other.db",
    "part find --record mysql://host/record",
    "part find --record postgresql://host:x/record",
    "part find --record postgresql://host/record?schema=No",
    "crew show",
    "demo folder",
    "demo paper.txt/deep",
    "part shaw K4127-7",
    "limits take own.toml",
    "limits take bytes.toml",
    "limits write limits.toml",
    "condition-list --limits now -o limits.xlsx",
)

_TODAY = date(2026, 4, 15)
CALLS: dict[str, Callable[[], object]] = {
    "day_of('3/4/2019')": lambda: day_of("3/4/2019", _TODAY),
    "day_of('3/4/19')": lambda: day_of("3/4/19", _TODAY),
    "day_of('43558')": lambda: day_of("43558", _TODAY),
    "amount_of('1250')": lambda: amount_of("1250", None),
    "amount_of('$85', 'EUR')": lambda: amount_of("$85", "EUR"),
    "amount_of('1.234', 'EUR')": lambda: amount_of("1.234", "EUR"),
    "yes_or_no('perhaps')": lambda: yes_or_no("perhaps"),
    "read_adjuster('relay')": lambda: read_adjuster("relay", "two-screw", "leaner", "leaner"),
    "read_adjuster(stop='three-screw')": lambda: read_adjuster("pressure sensor", "three-screw", "leaner", "leaner"),
    "read_adjuster(part_load='lean')": lambda: read_adjuster("pressure sensor", "two-screw", "lean", "leaner"),
    "read_adjuster(checked='tyres')": lambda: read_adjuster(
        "pressure sensor", "two-screw", "leaner", "leaner", checked=["tyres"]
    ),
    "correction_line('1ohm=1ohm', '1V=1V')": lambda: correction_line(["1ohm=1ohm", "1V=1V"]),
    "parse_timed('0s=50cmHg', '0s=49cmHg')": lambda: parse_timed(["0s=50cmHg", "0s=49cmHg"]),
    "check(readings=[])": lambda: check("hold", "pressure sensor", [], {}),
    "check({'colour': 'red'})": lambda: check("hold", "pressure sensor", ["0s=50cmHg"], {"colour": "red"}),
    "ListSheet.read('order', 'first')": lambda: LIST_SHEETS["positions"].read("order", "first", Cell(_TODAY, PROGRAM)),
    "entries_of('none')": lambda: entries_of(Path("none")),
}

#: What needs damage, a race, a server, a full disk, a wrong clock or a huge file: code, and the test that brings it about.
ELSEWHERE = {
    "limits-not-readable": "reference/test_limits_on_record.py",
    "no-workshop-file": "reference/test_limits_on_record.py",
    "key-not-readable": "papers/test_passport_files.py",
    "key-of-another": "papers/test_passport_files.py",
    "passport-altered": "papers/test_passport_files.py",
    "passport-unverified": "papers/test_unverified.py",
    "record-does-not-fit": "papers/test_unverified.py",
    "passport-is-newer": "papers/test_passport_files.py",
    "passport-of-another": "papers/test_passport.py",
    "passport-of-several": "papers/test_passport_files.py",
    "serial-on-record": "papers/test_passport.py",
    "signatures-not-read": "papers/test_passport_files.py",
    "document-not-of-part": "papers/test_passport.py",
    "zip-not-safe": "papers/test_passport_files.py",
    "nothing-there": "papers/test_claim.py",
    "several-meant": "papers/test_claim.py",
    "backup-damaged": "copies/test_backup.py",
    "backup-is-newer": "copies/test_backup.py",
    "backup-not-safe": "copies/test_backup.py",
    "backup-not-whole": "copies/test_backup.py",
    "documents-there": "copies/test_backup.py",
    "not-copied-before-upgrade": "copies/test_before_upgrade.py",
    "not-decrypted": "copies/test_backup.py",
    "place-not-kept": "copies/test_backup.py",
    "rows-not-taken": "copies/test_backup.py",
    "too-large-to-encrypt": "copies/test_backup.py",
    "already-there": "faults/test_together.py",
    "schema-taken": "faults/test_crew.py",
    "upgrade-not-allowed": "faults/test_crew.py",
    "no-right-here": "faults/test_crew.py",
    "no-right-to-make": "faults/test_crew.py",
    "rights-of-the-owner": "faults/test_crew.py",
    "unknown-login": "faults/test_crew.py",
    "may-do-everything": "faults/test_crew.py",
    "not-an-administrator": "faults/test_crew.py",
    "no-rights-there": "faults/test_crew.py",
    "wrong-password": "faults/test_crew.py",
    "password-missing": "faults/test_crew.py",
    "no-such-database": "faults/test_crew.py",
    "no-such-login": "faults/test_crew.py",
    "not-let-in": "faults/test_crew.py",
    "connection-not-encrypted": "faults/test_crew.py",
    "no-encryption": "faults/test_crew.py",
    "unknown-host": "faults/test_crew.py",
    "server-refuses": "faults/test_crew.py",
    "unknown-service": "faults/test_crew.py",
    "address-option": "faults/test_crew.py",
    "clock-behind": "cli/test_clock.py",
    "count-not-kept": "counting/test_counting.py",
    "crossed-writes": "faults/test_server.py",
    "disk-full": "faults/test_disk.py",
    "document-not-kept": "faults/test_disk.py",
    "document-gone": "pictures/test_photos.py",
    "documents-not-here": "documents/test_stored.py",
    "documents-of-another": "documents/test_stored.py",
    "draft-not-kept": "tui/test_drafts.py",
    "folder-not-kept": "tui/test_pictures.py",
    "heic-not-read": "documents/test_picture.py",
    "interrupted": "cli/test_everywhere.py",
    "log-not-whole": "store/test_log.py",
    "no-viewer": "tui/test_pictures.py",
    "not-a-size": "documents/test_stored.py",
    "not-an-hour": "pictures/test_photos.py",
    "not-known-if-written": "faults/test_server.py",
    "not-opened": "tui/test_pictures.py",
    "nothing-to-take-back": "faults/test_together.py",
    "only-hidden-sheets": "sheets/columns/test_layout.py",
    "pictures-not-drawn": "tui/test_pictures.py",
    "picture-changed": "pictures/test_photos.py",
    "picture-not-whole": "documents/test_picture.py",
    "picture-too-large": "documents/test_picture.py",
    "position-in-use": "cars/test_names.py",
    "position-known": "cars/test_names.py",
    "position-taken-away": "cars/test_together.py",
    "position-without-car": "cars/test_names.py",
    "position-emptied": "teardown/test_second.py",
    "program-stopped": "cli/test_crash.py",
    "removal-before-fitting": "teardown/test_second.py",
    "record-busy": "faults/test_together.py",
    "record-damaged": "faults/test_disk.py",
    "record-has-foreign-objects": "store/test_crafted.py",
    "offer-too-varied": "pairing/test_every_pair.py",
    "record-is-newer": "faults/test_disk.py",
    "record-not-readable": "cli/test_process.py",
    "record-not-settled": "faults/test_read_only.py",
    "record-not-writable": "faults/test_read_only.py",
    "record-refused": "store/test_look.py",
    "record-away": "tui/test_away.py",
    "clock-behind-all": "cli/test_clock.py",
    "server-away": "cli/test_process.py",
    "server-full": "faults/test_server.py",
    "sheet-too-large": "published/test_sheet_limits.py",
    "too-many-rows": "sheets/writers/test_workbook.py",
    "terminal-without-pictures": "tui/test_pictures.py",
    "took-too-long": "faults/test_server.py",
    "zone-not-known": "store/test_moments.py",
    "two-parts-on-record": "teardown/test_second.py",
}
#: What nothing brings about today, and why it stays.
NEVER_SEEN = {
    "document-not-enclosed": "caught while a passport is read: the fact becomes a remark",
    "value-not-readable": "caught while a passport is read: the fact becomes a remark",
    "demo-went-wrong": "a command of the demo is refused: the demo itself would be at fault",
    "fact-of-no-thing": "a kind of fact that is about nothing with a name: none is declared so",
    "no-encryption": "the library is installed wherever the tests run",
    "no-postgresql-driver": "the driver is installed wherever the tests run",
    "not-corrected-here": "a value that refers to a fact: none is declared so",
    "nothing-on-file": "a method of limits without one for its kind: none is on file",
}


def refusals(folder: Path) -> Iterator[dict[str, Any]]:
    """What each try was refused with, in the order of the tries; the folder is empty before."""
    with _in(folder), patch("inventory.store.days.clock.now", lambda: NOON):
        _set_up(folder)
        for words in COMMANDS:
            yield {"try": words, **_refused_command(words, folder)}
        for words, call in CALLS.items():
            yield {"try": words, **_refused_call(call)}


def _set_up(folder: Path) -> None:
    (folder / "folder").mkdir()
    for name, text in _FILES.items():
        (folder / name).write_text(text, encoding="utf-8", errors="surrogateescape")
    (folder / "full.xlsx").write_bytes(b"")
    with (folder / "huge.json").open("wb") as huge:
        huge.truncate(200_000_000)
    for words in SET_UP:
        status, said = _run(words)
        assert status in (0, 1), (words, said)


def _refused_command(words: str, folder: Path) -> dict[str, Any]:
    status, said = _run(words)
    assert status in (2, 3), (words, said)
    error = json.loads(said)["error"]
    return _told(error["code"], error["message"], error["hint"], error["where"], folder)


def _refused_call(call: Callable[[], object]) -> dict[str, Any]:
    try:
        call()
    except Refused as refusal:
        return _told(refusal.code, refusal.message, refusal.hint, refusal.where, Path())
    raise AssertionError("not refused")


def _told(code: str, says: str, hint: str | None, where: str | None, folder: Path) -> dict[str, Any]:
    told = {"code": code, "says": says, "hint": hint, "where": where}
    return {name: text.replace(f"{folder}/", "").replace("x" * 40, "x") for name, text in told.items() if text}


def _run(words: str) -> tuple[int, str]:
    typed = [word.replace("{long}", "x" * 33_000) for word in shlex.split(words)]
    set_to = dict(word.split("=", 1) for word in typed if word.startswith("MATCHMARK_"))
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(io.StringIO()), patch.dict(os.environ, set_to):
        status = main([*(word for word in typed if not word.startswith("MATCHMARK_")), "--json"])
    return status, said.getvalue()


@contextlib.contextmanager
def _in(folder: Path) -> Iterator[None]:
    before = Path.cwd()
    os.chdir(folder)
    try:
        with patch.dict(os.environ, {"MATCHMARK_RECORD": "workshop.db", "MATCHMARK_BY": "Ines", "TZ": "UTC"}):
            yield
    finally:
        os.chdir(before)


def codes_in_source() -> dict[str, str]:
    """Every code that the source gives a refusal outright, with the first place where it does."""
    found: dict[str, str] = {}
    for path in sorted([*(_ROOT / "inventory").rglob("*.py"), *(_ROOT / "tui").rglob("*.py")]):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if code := _code(node):
                found.setdefault(code, str(path.relative_to(_ROOT)))
    return found


def _code(node: ast.AST) -> str:
    if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.args):
        return ""
    first = node.args[0]
    if not (isinstance(first, ast.Constant) and isinstance(first.value, str)):
        return ""
    if node.func.id in ("UnknownName", "one_of"):
        return f"unknown-{first.value.replace(' ', '-')}"
    return first.value if node.func.id in ("Refused", "Misused", "Damaged", "Stopped") else ""


def written(found: list[dict[str, Any]]) -> str:
    """The refusals as the file that holds them: TOML, by code."""
    blocks = (
        "\n".join(["[[refusal]]", *(f"{name} = {json.dumps(text, ensure_ascii=False)}" for name, text in each.items())])
        for each in sorted(found, key=lambda each: str(each["code"]))
    )
    return "\n\n".join(["# Made by: python -m tests.docs.refusals", *blocks]) + "\n"


def kept() -> list[dict[str, Any]]:
    """The refusals in the file."""
    return list(tomllib.loads(FILE.read_text(encoding="utf-8"))["refusal"])


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as empty:
        FILE.write_text(written(list(refusals(Path(empty).resolve()))), encoding="utf-8")
