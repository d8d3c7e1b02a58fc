"""A record on SQLite, a workshop in it, and a way to walk the browser without sleeping."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.worker import WorkerCancelled

from inventory.bench import actions as bench
from inventory.cars import actions as cars
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.tags import issue
from inventory.places import actions as places
from inventory.seals import actions as seals
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from tui.app import Browser
from tui.frame import Frame
from tui.view import View

BY = "Ines"
CAR = "Green tourer"


class Walk:
    """One run of the browser: press, type, scan, look."""

    def __init__(self, app: Browser, pilot: Pilot[None]) -> None:
        self.app = app
        self.pilot = pilot
        self.pressed = 0

    @property
    def frame(self) -> Frame:
        return self.app.frame

    @property
    def view(self) -> View:
        return self.frame.view

    async def settle(self) -> None:
        """Until nothing is read or written any more, and no message waits. Without waiting for an idle processor."""
        quiet = 0
        for _ in range(1000):
            await self.pilot.pause(0)
            with contextlib.suppress(WorkerCancelled):  # of a view that was left
                await self.app.workers.wait_for_complete()
            quiet = quiet + 1 if self._at_rest() else 0
            if quiet == 3:
                return
        raise AssertionError("the browser does not come to rest")

    def _at_rest(self) -> bool:
        screen = self.app.screen
        waits = any(each._message_queue.qsize() for each in (self.app, *screen.walk_children(with_self=True)))
        return not (waits or self.frame.writing or screen._callbacks or any(view._then for view in self.frame.views))

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.pressed += 1
            self.frame.line.strokes.forget()  # a hand that took its time
            self.frame.line._last_ending = None
            self._send(key)
            await self.settle()

    async def type(self, text: str) -> None:
        for character in text:
            self._send(character)
        self.pressed += len(text)
        await self.settle()

    def _send(self, key: str) -> None:
        """What the driver sends for a key; the pilot's own press waits 40 ms after each."""
        name = {" ": "space"}.get(key) or (_character_to_key(key) if len(key) == 1 and not key.isalnum() else key)
        event = events.Key(name, key if len(key) == 1 else " " if key == "space" else None)
        event.set_sender(self.app)
        assert self.app._driver is not None
        self.app._driver.send_message(event)

    async def answer(self, text: str) -> None:
        """Type and press Enter."""
        await self.type(text)
        await self.press("enter")

    async def uncounted(self, text: str) -> None:
        """Type what is not counted as presses, as a serial is not, and press Enter."""
        before = self.pressed
        await self.answer(text)
        self.pressed = before + 1

    async def scan(self, text: str, *, ending: str = "enter") -> None:
        """What a scanner sends: characters 0.5 ms apart, its ending 5 ms later."""
        self.pressed += 1
        start = self.frame.line.strokes.last or 0.0
        line = self.frame.line
        line._last_ending = None
        for place, character in enumerate(text):
            event = events.Key("minus" if character == "-" else character, character)
            event.time = start + 10 + place * 0.0005
            await line._on_key(event)
            line.insert_text_at_cursor(character)
        if ending:
            event = events.Key(ending, None)
            event.time = start + 10 + len(text) * 0.0005 + 0.005
            await line._on_key(event)
        await self.settle()

    async def until(self, so: Callable[[], bool]) -> None:
        """Until something is so that a timer of the browser brings about."""
        for _ in range(200):
            if so():
                return
            await self.pilot.pause(0.01)
        raise AssertionError("it never came about")

    def shown(self) -> list[str]:
        """The rows of the screen as text."""
        return [strip.text.rstrip() for strip in self.app.screen._compositor.render_strips()]

    def text(self) -> str:
        return "\n".join(self.shown())

    @property
    def said(self) -> str:
        """What the message row says."""
        return str(self.frame._said.content)


Walked = Callable[[Walk], Awaitable[None]]
Browse = Callable[..., None]


@pytest.fixture(autouse=True)
def _hand(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> None:
    """The pilot types faster than a hand: its Enter counts as one, and it rests at once, save where that is the matter."""
    if "scanner" not in request.fixturenames:
        monkeypatch.setattr("tui.scan.ENTER_GAP_S", 0.0)
    if "slow_hand" not in request.fixturenames:
        monkeypatch.setattr("tui.frame.Frame.when_idle", lambda _, then: then())


@pytest.fixture
def scanner() -> None:
    """For tests in which the time between keys is the matter."""


@pytest.fixture
def slow_hand() -> None:
    """For tests in which it is the matter that something waits until no key comes."""


@pytest.fixture(scope="session")
def shop_template(sqlite_template: bytes, tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, dict[str, str]]:
    """The bytes of a record with the workshop in it, and the tags to know."""
    path = tmp_path_factory.mktemp("shop") / "record.db"
    path.write_bytes(sqlite_template)
    opened = open_record(str(path))
    tags = fill(opened)
    opened.close()
    return path.read_bytes(), tags


@pytest.fixture
def shop(shop_template: tuple[bytes, dict[str, str]]) -> dict[str, str]:
    """The tags of a workshop: `record` then is that workshop."""
    return shop_template[1]


@pytest.fixture
def record(request: pytest.FixtureRequest, sqlite_target: str) -> Iterator[Record]:
    """A record on SQLite: empty, or with the workshop in it where a test asks for `shop`."""
    if "shop" in request.fixturenames:
        Path(sqlite_target).write_bytes(request.getfixturevalue("shop_template")[0])
    opened = open_record(sqlite_target)
    yield opened
    opened.close()


@pytest.fixture
def browse(record: Record) -> Browse:
    """Run the browser at a size and walk it."""

    def run(walked: Walked, size: tuple[int, int] = (80, 24)) -> None:
        async def main() -> None:
            app = Browser(record, BY)
            async with app.run_test(size=size) as pilot:
                walk = Walk(app, pilot)
                await walk.settle()
                await walked(walk)

        asyncio.run(main())

    return run


def write(record: Record, act: Callable[..., object], *values: object, **named: object) -> object:
    with record.write() as session:
        return act(session, BY, *values, **named)


def fill(record: Record) -> dict[str, str]:
    """A car half listed, a strip-down begun, a sensor with runs on shelf B2, its mate, 20 relays. Gives tags."""
    write(record, cars.add_car, CAR, maker="Halvard")
    listed = [
        (
            "inner wing",
            cars.Listing(1, "pressure sensor", "Ostrell", "HV 204 118", "across", "3x M6x20 hex", "4-pin plug"),
        ),
        ("left wing", cars.Listing(2, "relay", "Tolvranne", "12-R4", None, "1x M6x16 hex", "4x blade")),
        ("air horn", cars.Listing(3, "air temperature sensor", "Ostrell", "HV 171 004")),
    ]
    for name, listing in listed:
        write(record, cars.list_position, CAR, name, listing)
    write(record, teardown.begin, CAR, care="battery off, on stands")
    write(record, places.add_place, "B2")
    sensor = Markings("pressure sensor", "Ostrell", "HV 204 118", serial="71-40615", match_code="K")
    tag = str(write(record, parts.add_part, sensor, condition=1, damage="one stud bent"))
    write(record, places.put, tag, "B2")
    write(record, seals.note_seal, tag, "cap", "intact")
    readings = ["0s=50cmHg", "5s=49cmHg", "10s=48cmHg"]
    write(record, bench.run, tag, "hold", readings, {"resolution": "1cmHg", "blank": ["0s=50cmHg", "10s=50cmHg"]})
    unit = Markings("control unit", "Ostrell", "HV 310 118", serial="71-2", match_code="K")
    mate = str(write(record, parts.add_part, unit))
    write(record, parts.state_fit, "HV 204 118", "HV 310 118")
    for number in range(20):
        write(record, parts.add_part, Markings("relay", "Tolvranne", "12-R4", serial=f"50{number:02}"), condition=2)
    return {"sensor": tag, "unit": mate}


@pytest.fixture
def label() -> str:
    """A label never used."""
    return issue(1, lambda _: ())[0]
