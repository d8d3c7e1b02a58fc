"""Finding, against a plain reading of its rules, on both engines: words, marks of any script and of SQL, totals.

The rules: words are ANDed, and each must match inside one field, never across two. Three or more characters
match anywhere in a field, after NFKC, casefold and removal of blanks, dots and dashes; one or two match only a
whole match code, seal state, condition or place.
"""

from __future__ import annotations

import random
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.facts import change
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.load_lines import find, lines
from inventory.parts.markings import Markings
from inventory.places import actions as places
from inventory.seals import actions as seals
from inventory.store.record import Record
from inventory.store.words.nothing import nothing_in
from inventory.teardown import actions as teardown
from inventory.verification import verify
from tests.build import CAR, make_car, make_part

#: Letters that fold to others, blanks and dashes of several kinds, marks that mean something to SQL or to an
#: index, and characters outside the first plane.
ALPHABET = "abKkZß0127ıİſﬁÅ\u00c5e\u0301éЖ漢字Ｈ５ .-\u2010\u2013\u2212\u00a0\u00ad\"'%_\\*^()+:/😀🚗"
_LEFT_OUT = set(" .-\u2010\u2013\u2212\u00a0\u00ad")
MARKS = ['say "x', "100%", "a_b", "c:\\d", "it's", "😀😀😀", "x OR y", "NEAR(a b)", "a*b", "(", "-v", "^a", "🚗"]


@dataclass(frozen=True)
class Shelved:
    """A part as the plain reading sees it: fields, and those that short words match whole."""

    tag: str
    fields: tuple[str, ...]
    whole: tuple[str, ...]


@dataclass(frozen=True)
class Shelf:
    record: Record
    parts: tuple[Shelved, ...]

    def find(self, words: list[str]) -> set[str]:
        """What the program finds, its total held against it."""
        with self.record.read() as session:
            found = find(session, words)
            tags = [line.tag for line in lines(session, found.keys)]
        assert found.total == len(tags) == len(set(tags))
        assert not found.at_least
        return set(tags)


def _plain(text: str) -> str:
    """The folding, written out once more."""
    return "".join(mark for mark in unicodedata.normalize("NFKC", text).casefold() if mark not in _LEFT_OUT)


def _matches(part: Shelved, word: str) -> bool:
    if len(word) > 2:
        return any(word in _plain(field) for field in part.fields + part.whole)
    return any(word == _plain(field) for field in part.whole)


def _expected(shelf: Shelf, words: list[str]) -> set[str]:
    plain = [word for word in map(_plain, words) if word]
    if not plain and any(word.strip() for word in words):
        return set()
    return {part.tag for part in shelf.parts if all(_matches(part, word) for word in plain)}


def _word(chance: random.Random, longest: int) -> str:
    """Odd signs; a ditto mark or a stroke alone would be no answer, so a letter stands before it."""
    word = "".join(chance.choice(ALPHABET) for _ in range(chance.randint(1, longest)))
    return f"e{word}" if nothing_in(word) else word


def _enter(record: Record, chance: random.Random, number: int) -> Shelved:
    """A part with something odd in every field."""
    kind, code = chance.choice(("relay", "injector")), _word(chance, 2).strip() or "K"
    place, note = f"{_word(chance, 3).strip() or 'B'}{number % 7}", MARKS[number % len(MARKS)]
    texts = [_word(chance, 12).strip() or "x" for _ in range(5)]
    extra = {"Their column": _word(chance, 9).strip() or 'a "b\\c'}
    markings = Markings(kind, texts[0], texts[1], texts[2], texts[3], code, None, None, texts[4], extra=extra)
    tag = make_part(record, markings, remark=note)
    condition, state = str(number % 4), chance.choice(("intact", "missing"))
    record.names_meant.new = True
    with record.write() as session:
        if not _known(session, place):
            places.add_place(session, "Ines", place)
        places.put(session, "Ines", tag, place)
        parts.assess(session, "Ines", tag, int(condition))
        seals.note_seal(session, "Ines", tag, "cap", state)
    fields = (tag, kind, *texts, *extra.values(), "own", note)
    return Shelved(tag, fields, (code, state, condition, place))


def _known(session: Any, place: str) -> bool:
    from sqlalchemy import select

    from inventory.places.tables import Place
    from inventory.store.words.text import fold

    return session.scalar(select(Place.id).where(Place.name_folded == fold(place))) is not None


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def shelf(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shelf]:
    if request.param == "sqlite":
        path = tmp_path_factory.mktemp("shelf") / "record.db"
        path.write_bytes(request.getfixturevalue("sqlite_template"))
        target = str(path)
    else:
        target = request.getfixturevalue("new_database")("template_record")
    record = open_record(target)
    chance = random.Random(20417)
    yield Shelf(record, tuple(_enter(record, chance, number) for number in range(45)))
    assert verify(record).ok
    record.close()


def _pieces(shelf: Shelf) -> st.SearchStrategy[str]:
    """Words that may find something: pieces of what is written, of any length, in any case."""
    texts = [text for part in shelf.parts for text in part.fields + part.whole]

    def piece(text: str, start: int, length: int, upper: bool) -> str:
        found = text[start % len(text) :][:length]
        return found.upper() if upper else found

    return st.builds(piece, st.sampled_from(texts), st.integers(0, 11), st.integers(1, 8), st.booleans())


@settings(max_examples=120)
@given(data=st.data())
def test_what_is_found_is_what_the_rules_say(shelf: Shelf, data: st.DataObject) -> None:
    word = _pieces(shelf) | st.text(ALPHABET, max_size=6)
    words = data.draw(st.lists(word, min_size=1, max_size=3))
    assert shelf.find(words) == _expected(shelf, words)


@pytest.mark.parametrize("mark", [*MARKS, '"', "%", "_", "\\", "'", "😀", '""', "%%%", "___", "\\\\\\", '"""'])
def test_marks_of_sql_and_of_the_index_are_letters_like_others(shelf: Shelf, mark: str) -> None:
    assert shelf.find([mark]) == _expected(shelf, [mark])


def test_most_words_of_the_comparison_find_something(shelf: Shelf) -> None:
    """The comparison would say little if nothing were ever found."""
    chance = random.Random(1)
    texts = [field for part in shelf.parts for field in part.fields if len(_plain(field)) > 3]
    found = [shelf.find([text[:6]]) for text in chance.sample(texts, 40)]
    assert sum(bool(tags) for tags in found) > 30
    assert {part.tag for part in shelf.parts} == shelf.find([]) == shelf.find(["own"])


def test_a_word_never_matches_across_two_fields(record: Record) -> None:
    tag = make_part(record, Markings(kind="relay", maker="Halvard", part_number="HV 1"), remark="one")
    with record.write() as session:
        parts.note(session, "Ines", tag, "two")
    shelf = Shelf(record, ())
    assert shelf.find(["halvard", "hv 1"]) == {tag}
    for word in ("halvardhv1", "relayhalvard", "onetwo", "netw", "vard hv"):
        assert shelf.find([word]) == set(), word


@pytest.mark.parametrize(
    ("words", "finds"),
    [
        (["K"], True),
        (["k."], True),
        (["B2"], True),
        (["b-2"], True),
        (["2"], True),
        (["K", "B2", "2"], True),
        (["HV"], False),
        (["1"], False),
        (["71"], False),
        (["B"], False),
        (["K", "3"], False),
        (["intact"], True),
        (["tac"], True),
    ],
)
def test_a_short_word_matches_only_a_whole_code_state_condition_or_place(
    record: Record, words: list[str], finds: bool
) -> None:
    with record.write() as session:
        places.add_place(session, "Ines", "B2")
    tag = make_part(
        record, Markings(kind="relay", part_number="HV 1", serial="71", match_code="K"), place="B2", condition=2
    )
    with record.write() as session:
        seals.note_seal(session, "Ines", tag, "cap", "intact")
    assert Shelf(record, ()).find(words) == ({tag} if finds else set())


def test_a_part_is_found_by_what_is_so_now(record: Record) -> None:
    """Search text goes with every fact: told, corrected, taken back, moved, fitted; a car renamed."""
    shelf = Shelf(record, ())
    make_car(record)
    tag = make_part(record, Markings(kind="relay"))
    with record.write() as session:
        note = parts.note(session, "Ines", tag, "clicks twice")
    assert shelf.find(["clicks"]) == {tag}
    with record.write() as session:
        anew = change.correct(session, "Ines", note, {"text": "hums"}, "misheard")
    assert (shelf.find(["clicks"]), shelf.find(["hums"])) == (set(), {tag})
    with record.write() as session:
        change.withdraw(session, "Ines", anew, "wrong part")
    assert shelf.find(["hums"]) == set()
    with record.write() as session:
        teardown.fit(session, "Ines", tag, "inner wing", car=CAR)
    assert shelf.find(["green", "inner"]) == {tag}
    with record.write() as session:
        change.correct(session, "Ines", "car_description-1", {"name": "Blue coupe"}, "painted")
    assert (shelf.find(["green"]), shelf.find(["blue"])) == (set(), {tag})
    assert verify(record).ok


def test_with_a_limit_no_more_is_counted_and_it_is_said(record: Record) -> None:
    for _ in range(7):
        make_part(record, Markings(kind="relay"))
    with record.read() as session:
        some, all_of_them = find(session, ["relay"], limit=5), find(session, ["relay"], limit=8)
    assert (some.total, some.at_least, len(some.keys)) == (5, True, 5)
    assert (all_of_them.total, all_of_them.at_least) == (7, False)
