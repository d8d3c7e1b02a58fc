"""A clock that tests set, and a small workshop whose every figure is known."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from inventory.cars import actions as cars
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.places import actions as places
from inventory.provenance import actions as provenance
from inventory.seals import actions as seals
from inventory.store.days import clock
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.valuation import actions as worth
from tests.condition_list.workshop import BY, Workshop

OnDay = Callable[[str], None]


@pytest.fixture
def on_day(monkeypatch: pytest.MonkeyPatch) -> OnDay:
    """Set the day on which everything is written from now on."""

    def set_day(day: str) -> None:
        moment = datetime.fromisoformat(f"{day}T12:00:00").replace(tzinfo=UTC)
        monkeypatch.setattr(clock, "now", lambda: moment)

    return set_day


@pytest.fixture(scope="session")
def furnished_once(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    """A folder for the small workshop on one file, and its tags once it is there: made once, copied for every test."""
    return tmp_path_factory.mktemp("furnished"), {}


@pytest.fixture
def workshop(
    target: str, on_day: OnDay, tmp_path: Path, furnished_once: tuple[Path, dict[str, str]]
) -> Iterator[Workshop]:
    """The small workshop on either engine."""
    yield from _opened(target, on_day, tmp_path, furnished_once)


@pytest.fixture
def file_record(sqlite_target: str) -> Iterator[Record]:
    """An empty record of one file, open."""
    opened = open_record(sqlite_target)
    yield opened
    opened.close()


@pytest.fixture
def file_workshop(
    sqlite_target: str, on_day: OnDay, tmp_path: Path, furnished_once: tuple[Path, dict[str, str]]
) -> Iterator[Workshop]:
    """The small workshop on one file, for what does not differ between engines."""
    yield from _opened(sqlite_target, on_day, tmp_path, furnished_once)


def _opened(
    target: str, on_day: OnDay, tmp_path: Path, furnished_once: tuple[Path, dict[str, str]]
) -> Iterator[Workshop]:
    """The small workshop, open: on a file as it was made the first time, on PostgreSQL made anew."""
    kept, tags = furnished_once
    is_file = not target.startswith("postgresql")
    if is_file and tags:
        shutil.copytree(kept, tmp_path, dirs_exist_ok=True)
        on_day("2026-03-31")
        made = Workshop(open_record(target), dict(tags))
    else:
        made = _furnished(open_record(target), on_day, tmp_path)
        if is_file:
            made.record.close()
            shutil.copytree(tmp_path, kept, dirs_exist_ok=True)
            tags.update(made.tags)
            made = Workshop(open_record(target), dict(tags))
    yield made
    made.record.close()


def _furnished(record: Record, on_day: OnDay, tmp_path: Path) -> Workshop:
    """Eight parts, written down on 31 March 2026: ours, a customer's, lent, on two cars, sold, come later."""
    on_day("2026-03-31")
    with record.write() as session:
        places.add_place(session, BY, "shelf B2", premises="Ebbgate Works, Skerrowmouth", on="2020")
        cars.add_car(session, BY, "Green tourer", on="2020")
        cars.add_car(session, BY, "Grey saloon", on="2020")
        cars.insure_car(session, BY, "Grey saloon", True, policy="HM 12", on="2025-01-01")
    made = Workshop(record)
    ours = made.part("pressure sensor", "850", number="HV 204 118", serial="0071-40822", code="K", on="2026-01-05")
    unit = made.part("control unit", "400", number="HV 310 002", serial="5512", code="K", on="2026-01-05")
    on_green = made.part("relay", "20", on="2026-01-05")
    on_grey = made.part("fuel pump", "120.50", on="2026-01-05")
    theirs = made.part("injector", "90", on="2026-01-05")
    lent = made.part("ignition coil", "60", on="2026-01-05")
    sold = made.part("throttle switch", "30", on="2026-01-05")
    later = made.part("relay", "25", on="2026-01-05")
    picture = tmp_path / "whole.jpg"
    picture.write_bytes(b"a picture of the sensor")
    with record.write() as session:
        places.put(session, BY, ours, "shelf B2", on="2026-01-06")
        parts.assess(session, BY, ours, 2, damage="one stud bent", on="2026-01-07")
        parts.attach(session, BY, ours, picture, shows="whole", on="2026-01-08")
        seals.note_seal(session, BY, ours, "cap", "intact", on="2026-03-02")
        provenance.note_provenance(
            session,
            BY,
            ours,
            "bought",
            party="Gribbling",
            attribution="said by seller",
            on="1998~",
            text="Gribbling sold",
        )
        parts.state_fit(session, BY, "HV 204 118", "HV 310 002", on="2020")
        teardown.fit(session, BY, on_green, "bulkhead", car="Green tourer", on="2026-02-01")
        teardown.fit(session, BY, on_grey, "tank", car="Grey saloon", on="2026-02-01")
        provenance.note_provenance(
            session, BY, theirs, "left here by a customer", party="Ulla Brandvesk", on="2026-02-03"
        )
        provenance.note_provenance(session, BY, lent, "lent out", party="Oxbarrow Motor Shed", on="2026-02-04")
        provenance.note_provenance(session, BY, sold, "sold", party="Gribbling", on="2025-11-30")
        provenance.note_provenance(session, BY, later, "bought", on="2026-03-31")
        worth.note_value(session, BY, unit, "9000", "JPY", basis="replacement", source="a dealer", on="2021-05-01")
    tags = (ours, unit, on_green, on_grey, theirs, lent, sold, later)
    names = ("ours", "unit", "on_green", "on_grey", "theirs", "lent", "sold", "later")
    made.tags.update(dict(zip(names, tags, strict=True)))
    return made
