"""The labelled lines of an item, in their fixed order, as they stand on the list's pages. Pure.

"Not known" is written out; a dash stands for what does not apply.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from inventory.condition_list.totals import WITH_MATE
from inventory.condition_list.values import ConditionSeen, Item, Seal, Statement, Value
from inventory.condition_list.words import CLASSES, CLASSES_IN_SHORT, NOT_ASSESSED, NOT_KNOWN, VERDICTS
from inventory.contradictions.looks import LETTER, SEAL, TEST
from inventory.money import shown

__all__ = ["DOES_NOT_APPLY", "TO_NOTE", "amount_of", "item_lines", "item_name", "said_on", "symptoms", "works_in_short"]

DOES_NOT_APPLY = "–"
#: The label of the eleventh line, which stands once more under the list's remarks.
TO_NOTE = "To note"


def item_lines(item: Item, basis: str) -> list[tuple[str, str]]:
    """Label and text: ten lines, and one more where there is something to note."""
    lines = [
        ("Is", _is(item)),
        ("Marks", "; ".join(_marks(item)) or NOT_KNOWN),
        ("Whose, where", _whose(item)),
        ("Looks", _looks(item)),
        ("Works", _works(item)),
        ("Seals", "; ".join(_seals(item)) or _without(item, "seals")),
        ("Goes with", item.goes_with or _without(item, "goes with")),
        ("From", _from(item)),
        ("Evidence", _evidence(item)),
        ("Value", _value(item, basis)),
    ]
    return [*lines, (TO_NOTE, "; ".join(item.remarks))] if item.remarks else lines


def item_name(item: Item) -> str:
    """Kind, maker and number, for headings."""
    return " ".join(filter(None, (item.kind, item.maker, item.part_number)))


def symptoms(item: Item) -> str:
    """The class of its looks with a word, without which it never stands."""
    looks = item.condition
    if looks is None or looks.category is None:
        return NOT_ASSESSED
    return f"{looks.category} {CLASSES_IN_SHORT[looks.category]}"


def works_in_short(item: Item) -> str:
    """The verdict of the last test that decides, with the test's name."""
    if item.works is not None:
        return f"{VERDICTS[item.works.verdict]} {item.works.procedure}"
    return "tests differ" if any(each.about.startswith(TEST) for each in item.contradictions) else NOT_KNOWN


def amount_of(value: Value) -> str:
    """Currency and amount, with the currency's decimals."""
    return f"{value.currency} {shown(Decimal(value.amount), value.currency)}"


def _without(item: Item, what: str) -> str:
    return DOES_NOT_APPLY if what in item.does_not_apply else NOT_KNOWN


def _is(item: Item) -> str:
    more = item.description
    fields = (
        ("maker", item.maker),
        ("number", item.part_number),
        ("measures", more and more.measurements),
        ("material", more and more.material),
        ("features", more and more.features),
    )
    known = [f"{name} {text}" for name, text in fields if text]
    missing = ", ".join(name for name, text in fields if not text)
    return "; ".join([item.kind, *known, *([f"{NOT_KNOWN}: {missing}"] if missing else [])])


def _marks(item: Item) -> Iterator[str]:
    """Every mark as it reads and where it sits; for the letter what does not fit, if it does not."""
    unfitting = next((each.found for each in item.contradictions if each.about == LETTER), None)
    if item.marks_verbatim:
        for mark in item.marks_verbatim:
            yield ", ".join(filter(None, (f'{mark.what} "{mark.text}"', mark.sits, mark.told)))
    else:
        told = (("serial", item.serial), ("date code", item.date_code), ("marks", item.marks))
        yield from (f'{name} "{text}"' for name, text in told if text)
    if item.serial is None:
        yield f"serial: {item.serial_told or NOT_KNOWN}"
    if unfitting:
        yield f"match code: {unfitting}"
    elif item.match_code and not any(mark.what == "match code" for mark in item.marks_verbatim):
        yield f'match code "{item.match_code}", read from {item.match_code_read_from or "the part itself"}'
    elif not item.match_code and "match code" not in item.does_not_apply:
        yield f"match code: {item.match_code_state or NOT_KNOWN}"
    if item.description and item.description.marks_sit:
        yield f"they sit: {item.description.marks_sit}"


def _whose(item: Item) -> str:
    where, seen = item.where, item.last_seen
    at = ", ".join(filter(None, (where.premises, where.town)))
    parts = [item.holder, where.says]
    if at and at not in where.says:
        parts.append(f"premises: {at}")
    elif not at and where.state != "away":
        parts.append(f"premises {NOT_KNOWN}")
    if where.place:
        parts.append(f"place: {where.place}")
    manner = "" if seen is None or seen.manner in seen.how else f" ({seen.manner})"
    parts.append(f"last seen {said_on(seen.when)}: {seen.how}{manner}" if seen else f"last seen: {NOT_KNOWN}")
    if item.relation is not None:
        told = ", ".join(filter(None, (item.relation.relation, item.relation.car, item.relation.says)))
        against = f"; against it: {item.relation.against}" if item.relation.against else ""
        parts.append(f"relation to the car: {told}, {said_on(item.relation.when)}{against}")
    else:
        parts.append(f"relation to a car: {NOT_KNOWN}")
    return "; ".join(parts)


def _looks(item: Item) -> str:
    looks = item.condition
    if looks is None or looks.category is None:
        said = [NOT_ASSESSED]
    else:
        said = [f"class {looks.category} of 0 to 3: {CLASSES[looks.category]} (no vehicle grade)"]
    said += [f"damage: {looks.damage}"] if looks and looks.damage else []
    said.append(f"complete: {item.complete}")
    said.append(f"stable: {item.stable}")
    if looks is not None:
        said += _looked(looks)
        said.append(said_on(looks.when))
    return "; ".join(said)


def _looked(looks: ConditionSeen) -> Iterator[str]:
    """Why, in what light, opened or closed, and what could not be seen, as far as it was stated."""
    if looks.why:
        yield f"looked at for {looks.why}"
    if looks.light:
        yield f"light: {looks.light}"
    if looks.opened:
        yield looks.opened
    if looks.unseen:
        yield f"could not be seen: {looks.unseen}"


def _works(item: Item) -> str:
    run = item.works
    if run is not None:
        found = f"{VERDICTS[run.verdict]} {run.procedure}: {run.sentence}, {said_on(run.when)}"
    else:
        tied = "; ".join(each.found for each in item.contradictions if each.about.startswith(TEST))
        found = tied or f"no test that decides: {NOT_KNOWN}"
    return f"{item.trade_class}; {found}" if item.trade_class != NOT_KNOWN else found


def _seals(item: Item) -> Iterator[str]:
    """What each seal counts as; where two looks at it do not fit, both."""
    unfitting = {each.about: each.found for each in item.contradictions}
    for seal in item.seals_now:
        yield unfitting.get(f"{SEAL}{seal.seal}") or _seal(seal)


def _seal(seal: Seal) -> str:
    paper = ", with a document" if seal.document else ", no document" if seal.state == "renewed" else ""
    return f"{seal.seal} {seal.state}{paper}, {said_on(seal.when)}"


def _from(item: Item) -> str:
    came = f"{item.came}, {said_on(item.came_when)}" if item.came_when else f"how it came: {item.came}"
    entries = [entry for entry in item.history.split("; ") if entry and entry != _came_again(item)]
    return "; ".join([came, *entries])


def _came_again(item: Item) -> str:
    """How its coming reads in its history, where it would be said twice."""
    return f"{item.came.split(' (')[0]} {item.came_when.on}" if item.came_when else ""


def _evidence(item: Item) -> str:
    if item.evidence_numbers:
        return f"no. {', '.join(map(str, item.evidence_numbers))} of the evidence index"
    shows = ", ".join(f"{each.document} ({each.shows})" for each in item.evidence)
    return shows or "no picture and no paper on record"


def _value(item: Item, basis: str) -> str:
    value, alone = item.value, ""
    if item.value_alone is not None:
        alone = f"this half alone {amount_of(item.value_alone)}, {said_on(item.value_alone.when)}"
    if value is None:
        said = [item.why if item.heading == WITH_MATE else f"no value stated on the basis {basis}", alone]
        return "; ".join(filter(None, said))
    who = ", ".join(filter(None, (value.source or f"source {NOT_KNOWN}", value.capacity)))
    said = [f"{amount_of(value)}, {value.basis}, by {who}, {said_on(value.when)}", value.standing]
    said.append(f"tax: {value.tax or 'not stated'}")
    if value.with_tag:
        said.append(f"for the pair with {value.with_tag}")
    said += [alone] if alone else []
    if value.stale:
        said.append("older than 3 years")
    if not item.counted_in_total:
        said.append(f"not added: {item.why or item.heading}")
    return "; ".join(said)


def said_on(when: Statement) -> str:
    """When it was so, who says it, whether only a sheet does, and the day it was recorded if that is another."""
    recorded = f", recorded {when.recorded_on}" if when.recorded_on not in ("", when.on) or when.hearsay else ""
    if when.hearsay:
        return f"{_day(when.on)}{when.hearsay}{recorded} by {when.by}"
    return f"{_day(when.on)} by {when.by}{recorded}"


def _day(on: str) -> str:
    """A day as stated; one that is open to a side in words."""
    first, _, last = on.partition("/")
    if first == "..":
        return f"not after {last}"
    return f"not before {first}" if last == ".." else on
