"""What may stand in a fact that is written anew: the values checked as on the way in."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import Integer, select
from sqlalchemy.orm import Session

from inventory.bench.context import Typed, contexts
from inventory.bench.instruments.actions import checked_calibration, checked_instrument
from inventory.bench.instruments.queries import refuse_unknown_instrument
from inventory.bench.tables import BenchRun, Calibration, InstrumentDescription
from inventory.bench.words import TypedRun
from inventory.cars.actions import AXES
from inventory.cars.queries import car_named, position_on
from inventory.cars.tables import Car, CarCover, CarDescription, PositionListing
from inventory.errors import Refused, UnknownName
from inventory.evidence.actions import checked_claim
from inventory.evidence.tables import Claim
from inventory.pairing.actions import STATES as RESERVATION_STATES
from inventory.pairing.actions import checked_setting
from inventory.pairing.tables import Reservation, Setting
from inventory.parts.actions import AREAS
from inventory.parts.history import SHARED
from inventory.parts.markings import Markings, checked, one_of
from inventory.parts.queries import part_row
from inventory.parts.tables import Assessment, Fit, Marking, Work
from inventory.places.queries import place_named
from inventory.places.tables import Place, PlaceDescription
from inventory.provenance.actions import ATTRIBUTIONS, HOW, LANES, WHOSE
from inventory.provenance.documents import SHOWS
from inventory.provenance.tables import Attachment, ContactDescription, GivenOut, Provenance, SheetMapping
from inventory.reference.data import reference_of
from inventory.seals.states import STATES
from inventory.seals.tables import SealSighting
from inventory.store.names import nearest
from inventory.store.tables import FactColumns, Withdrawal, WrongClock
from inventory.store.text import clean, fold, short_enough
from inventory.teardown.tables import Removal
from inventory.worth.money import BASES, checked_amount
from inventory.worth.tables import Valuation

__all__ = ["checked_changes", "checked_values", "refuse_fixed", "refuse_kept"]

#: Facts that are not corrected value by value, and what to do instead.
_FIXED: dict[type[FactColumns], tuple[str, str]] = {
    Withdrawal: ("A withdrawal is taken back, not corrected", "matchmark fact withdraw"),
    GivenOut: ("A file that was given out cannot be called back", "give out a new one"),
    SheetMapping: ("How sheets are read is kept anew, or taken back", "matchmark sheet read FILE --keep-answers"),
    WrongClock: ("What was said of a clock is taken back, and said anew", "matchmark clock wrong"),
}
#: Those of them that can be taken back.
_TAKEN_BACK = (SheetMapping, WrongClock)
_YES_NO = ("yes", "no")


def refuse_kept(model: type[FactColumns]) -> None:
    """Refuse to take back a fact of a table whose facts stay."""
    if model is ContactDescription:
        raise Refused(
            "fact-fixed",
            "What is written of a person lies apart and is not taken back fact by fact. Nothing was changed",
            hint="to correct it: matchmark fact correct; to remove a person for good: matchmark contact blank",
        )
    if model not in _TAKEN_BACK:
        refuse_fixed(model)


def refuse_fixed(model: type[FactColumns]) -> None:
    """Refuse to change a fact of a table whose facts are not changed value by value."""
    if model in _FIXED:
        says, hint = _FIXED[model]
        raise Refused("fact-fixed", f"{says}. Nothing was changed", hint=hint)


def checked_changes(row: FactColumns, changes: Mapping[str, str]) -> dict[str, str]:
    """The changes under the names that a fact has for its values; a name that it has not is refused."""
    refuse_fixed(type(row))
    known = _names(row)
    changed: dict[str, str] = {}
    for typed, value in changes.items():
        plain = clean(typed).casefold()
        name = plain if plain in known else re.sub("[ -]", "_", plain)
        if name != "on" and name not in known:
            raise UnknownName("value to correct", typed, nearest(name, known) or known)
        changed[name] = value
    return changed


def checked_values(session: Session, row: FactColumns, changed: Mapping[str, str]) -> dict[str, Any]:
    """All particular values of a fact, the changed ones checked as on the way in."""
    columns = row.__table__.c  # type: ignore[attr-defined]
    values = {name: getattr(row, name) for name in columns.keys() if name not in SHARED}  # noqa: SIM118
    if isinstance(row, BenchRun):
        changed = _measured(values, changed)
    for name, text in changed.items():
        if name in values:
            values[name] = _plain(name, text, whole=isinstance(columns[name].type, Integer))
        else:
            values[f"{name}_id"] = _key_named(session, row, name, clean(text))
    check = _CHECKS.get(type(row))
    if check is not None:
        check(session, row, values)
    needed = [name for name, value in values.items() if value is None and not columns[name].nullable]
    if needed:
        raise Refused("value-missing", f'"{needed[0]}" cannot be left empty. Nothing was changed', where=needed[0])
    return values


def _names(row: FactColumns) -> list[str]:
    """What can be corrected in a fact: its own values; of a bench run each reading and condition by its name."""
    if isinstance(row, BenchRun):
        from inventory.bench.conditions import CONDITIONS

        readings = [_name_of(reading) for reading in json.loads(row.readings)]
        return ["procedure", *readings, *(each.name for each in CONDITIONS if each.form != "readings")]
    columns = row.__table__.c.keys()  # type: ignore[attr-defined]
    return [name.removesuffix("_id") for name in columns if name not in SHARED and name != "extra"]


def _plain(name: str, text: str, *, whole: bool) -> str | int | None:
    """A value as its column holds it: cleaned, empty for nothing, a number where a number is kept."""
    plain = clean(text)
    if not plain or not whole:
        return plain or None
    if not re.fullmatch("[0-9]{1,4}", plain):
        raise Refused("not-a-number", f'"{name}" is a whole number, not "{plain}". Nothing was changed', where=name)
    return int(plain)


def _key_named(session: Session, row: FactColumns, name: str, text: str) -> int | None:
    if name == "car":
        return car_named(session, text).id
    if name == "place":
        return place_named(session, text).id if text else None
    if name == "unit":
        return part_row(session, text).id if text else None
    if name == "position" and hasattr(row, "car_id"):
        position = position_on(session, row.car_id, text)
        if position is not None:
            return position.id
        raise Refused(
            "unknown-position",
            f'No position "{text}" is listed on that car. Nothing was changed',
            hint="list it first: matchmark car position CAR NAME",
        )
    raise Refused(
        "not-corrected-here",
        f'"{name}" cannot be corrected in place. Nothing was changed',
        hint="withdraw the fact and write it anew",
    )


def _measured(values: dict[str, Any], changed: Mapping[str, str]) -> dict[str, str]:
    """Put changed readings and conditions of a run where they stand; what remains are its other values."""
    from inventory.store.journal import canonical

    readings = [str(reading) for reading in json.loads(values["readings"])]
    conditions = json.loads(values["conditions"])
    places = {_name_of(reading): place for place, reading in enumerate(readings)}
    rest = {}
    for name, text in changed.items():
        if name in places:
            if sum(name == _name_of(reading) for reading in readings) > 1:
                raise Refused(
                    "read-twice",
                    f'"{name}" stands twice in this run, so which is meant cannot be told. Nothing was changed',
                    where=name,
                    hint="withdraw the run and write it anew",
                )
            spelled = readings[places[name]].partition("=")[0].strip()
            readings[places[name]] = f"{spelled}={clean(text)}"
        elif name != "procedure":
            conditions[name] = clean(text)
        else:
            rest[name] = text
    values["readings"] = canonical(readings)
    values["conditions"] = canonical({name: value for name, value in conditions.items() if value})
    return rest


def _name_of(reading: str) -> str:
    return reading.partition("=")[0].strip().casefold()


def _check_marking(session: Session, row: Any, values: dict[str, Any]) -> None:
    only_the_code = values["match_code"] != row.match_code and values["match_code_state"] == row.match_code_state
    if only_the_code:  # its state goes with it
        values["match_code_state"] = "read" if values["match_code"] else None
    extra = json.loads(values["extra"]) if values["extra"] else None
    values.update(checked(Markings(**{**values, "extra": extra}), reference_of(session)).columns())


def _check_seal(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    values.update({name: (values[name] or "").casefold() or None for name in ("seal", "state")})
    one_of("seal state", values["state"], STATES)


def _check_assessment(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    if values["category"] not in (None, 0, 1, 2, 3):
        raise Refused("condition-category", f"Condition is 0, 1, 2 or 3, not {values['category']}. Nothing was changed")


def _check_valuation(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    values["amount"], values["currency"] = checked_amount(values["amount"] or "", values["currency"] or "")
    one_of("basis", values["basis"], BASES)


def _check_run(session: Session, row: FactColumns, values: dict[str, Any]) -> None:
    from inventory.bench.judgements import check

    read = {**values, **{name: json.loads(values[name]) for name in ("readings", "conditions")}}
    refuse_unknown_instrument(session, read["conditions"].get("instrument"))
    (context,) = contexts(session, [Typed(row.thing_id, row.so_from, row.counts_from, read)], with_references=False)
    check(TypedRun.of(read), context)


def _check_instrument(session: Session, row: FactColumns, values: dict[str, Any]) -> None:
    values.update(checked_instrument(session, row.thing_id, values))


def _check_calibration(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    values.update(checked_calibration(values))


def _check_work(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    one_of("place of work", values["area"], AREAS)


def _check_removal(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    one_of("axis", values["axis"], AXES)


def _check_listing(session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    one_of("axis", values["axis"], AXES)
    if values["kind"]:
        values["kind"] = reference_of(session).kind(values["kind"]).name


def _check_provenance(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    one_of("way of coming or going", values["how"], HOW)
    one_of("lane", values["lane"], LANES)
    one_of("owner", values["whose"], WHOSE)
    one_of("attribution", values["attribution"], ATTRIBUTIONS)
    if values["price"] is not None:
        values["price"], values["currency"] = checked_amount(values["price"], values["currency"] or "")


def _check_claim(session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    values.update(checked_claim(values, reference_of(session).failures))


def _check_cover(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    one_of("word on insurance", values["insured_whole"], _YES_NO)


def _check_fit(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    one_of("word on fitting", values["fits"], _YES_NO)


def _check_attachment(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    one_of("use of a document", values["shows"], SHOWS)


def _check_setting(session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    values.update(checked_setting(session, values))


def _check_reservation(_session: Session, _row: FactColumns, values: dict[str, Any]) -> None:
    one_of("word on keeping back", values["state"], RESERVATION_STATES)


def _check_name(session: Session, row: FactColumns, values: dict[str, Any]) -> None:
    """A car or place keeps a name, and one that no other bears."""
    model, what = (Car, "car") if isinstance(row, CarDescription) else (Place, "place")
    name = short_enough(f"name of the {what}", values["name"] or "")
    if not fold(name):
        raise Refused(f"{what}-without-name", f"A {what} needs a name. Nothing was changed")
    taken = select(model.name).where(model.name_folded == fold(name), model.id != row.thing_id)
    if (known := session.scalar(taken)) is not None:
        raise Refused(f"{what}-known", f'There is already a {what} "{known}". Nothing was changed')


_CHECKS: dict[type[FactColumns], Callable[[Session, FactColumns, dict[str, Any]], None]] = {
    Marking: _check_marking,
    SealSighting: _check_seal,
    Assessment: _check_assessment,
    Valuation: _check_valuation,
    BenchRun: _check_run,
    Calibration: _check_calibration,
    InstrumentDescription: _check_instrument,
    Work: _check_work,
    Removal: _check_removal,
    PositionListing: _check_listing,
    Provenance: _check_provenance,
    Claim: _check_claim,
    CarCover: _check_cover,
    Fit: _check_fit,
    Attachment: _check_attachment,
    Setting: _check_setting,
    Reservation: _check_reservation,
    CarDescription: _check_name,
    PlaceDescription: _check_name,
}
