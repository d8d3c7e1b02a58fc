"""A record of a million made parts, put in past the journal: what is measured is the search, not the writing."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from sqlalchemy import text

from inventory.parts.tags import ALPHABET, LETTERS
from inventory.store.connection.engine import WRITES, is_sqlite
from inventory.store.record import Record
from inventory.store.words.search import search_text

FIRST = 1_000
_PART = (
    "INSERT INTO part (id, tag, kind, maker, part_number, serial, match_code, seal_state, whose, fitted) "
    "VALUES (:id, :tag, :kind, :maker, :part_number, :serial, :match_code, :seal_state, 'own', 'no')"
)
_KINDS = ("pressure sensor", "control unit", "relay", "injector", "auxiliary air valve", "fuel pump")
_MAKERS = ("Ostrell", "Tolvranne", "Murnebeck", "Ondravel")
_STATES = ("intact", "not seen", "disturbed", "missing")


def made_parts(count: int) -> Iterator[dict[str, object]]:
    """Parts whose numbers, serials and codes vary as on real shelves."""
    for number in range(count):
        body = number * 7919 % 1_000_003
        yield {
            "id": FIRST + number,
            "tag": f"{LETTERS[number % 13]}{number:06d}{ALPHABET[number % 23]}",
            "kind": _KINDS[number % 6],
            "maker": _MAKERS[number % 4],
            "part_number": f"HV {200 + body % 190} {body % 977:03d}",
            "serial": f"{66 + number % 9}-{body:06d}",
            "match_code": LETTERS[number % 13] if number % 6 < 2 else None,
            "seal_state": _STATES[number % 4],
        }


def fill(record: Record, count: int) -> None:
    """Write `count` made parts and their search texts, as `parts.current` would leave them."""
    engine = record.engine.execution_options(**{WRITES: True})
    parts = made_parts(count)
    while chunk := list(islice(parts, 20_000)):
        texts = [{"id": row["id"], "text": _text(row)} for row in chunk]
        with engine.begin() as connection:
            connection.execute(text("INSERT INTO thing (id, kind) VALUES (:id, 'part')"), chunk)
            connection.execute(text(_PART), chunk)
            connection.execute(text("INSERT INTO search_entry (part_id, text) VALUES (:id, :text)"), texts)
            if is_sqlite(connection):
                connection.execute(text("INSERT INTO search_index (rowid, text) VALUES (:id, :text)"), texts)
    if not is_sqlite(record.engine):
        with record.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("VACUUM ANALYZE"))


def _text(row: dict[str, object]) -> str:
    fields = [row["tag"], row["kind"], row["maker"], row["part_number"], row["serial"], "own"]
    return search_text(fields, (row["match_code"], row["seal_state"]))  # type: ignore[arg-type]
