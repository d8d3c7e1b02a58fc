"""Whether one thing may stand for another, and whether a grommet fits. Pure."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Literal

from inventory.hardware.item import RUBBER, Item, number
from inventory.hardware.parse import items
from inventory.reference.fasteners import fasteners

__all__ = ["Standin", "clearance_hole", "grommet_findings", "same_things", "stands_for"]


@dataclass(frozen=True)
class Standin:
    """Whether one thing may stand for another: `same`, `may` (what to look at is said), `near` (not counted), `no`."""

    word: Literal["same", "may", "near", "no"]
    says: tuple[str, ...] = ()

    @property
    def counts(self) -> bool:
        """Whether it counts as in stock."""
        return self.word in ("same", "may")


def stands_for(one: Item, wanted: Item, *, critical: bool = False) -> Standin:
    """Whether `one` may go where `wanted` was. `critical`: at brakes, steering, belts, the fuel rail.

    There nothing weaker, of unknown class or stainless stands for anything: that is said, never offered.
    """
    if not (one.understood and wanted.understood):
        same = one.written.casefold() == wanted.written.casefold() or one.key == wanted.key
        return Standin("same" if same and not critical else "no")
    if one.family != wanted.family or one.thread != wanted.thread:
        return Standin("no")
    if wanted.sizes and one.sizes != wanted.sizes:
        return Standin("no")
    if one.family in RUBBER:
        return _rubber(one, wanted)
    return _metal(one, wanted, critical=critical)


def _rubber(one: Item, wanted: Item) -> Standin:
    if wanted.material and one.material and one.material != wanted.material:
        return Standin("near", (f"of {one.material}, not {wanted.material}",))
    if one.family == "grommet":
        if not (one.groove and wanted.groove):
            return Standin("may", ("measure the groove of both",))
        if one.groove != wanted.groove:
            return Standin("near", (f"its groove is {' x '.join(map(number, one.groove))}",))
    return Standin("same" if one.key == wanted.key else "may")


def _metal(one: Item, wanted: Item, *, critical: bool) -> Standin:
    if wanted.length_mm is not None and one.length_mm != wanted.length_mm:
        if one.length_mm is None or not 0 < one.length_mm - wanted.length_mm <= _LONGER:
            return Standin("no")
        longer = one.length_mm - wanted.length_mm
        return Standin("near", (f"{longer:g} mm longer: must not reach the bottom of the hole",))
    if one.rest != wanted.rest:
        return Standin("near", (f'"{one.rest or wanted.rest}" is not understood',))
    if wanted.head and one.head != wanted.head:
        return Standin("near", (f"{one.head or 'another'} head for {wanted.head}",))
    if wanted.drive and one.drive != wanted.drive:
        return Standin("near", (f"{one.drive or one.head or 'another drive'} for {wanted.drive}",))
    weaker = _weaker(one, wanted, critical=critical)
    if weaker:
        return Standin("no" if critical else "near", (weaker,))
    says = []
    if one.is_stainless and not wanted.is_stainless:
        says.append("stainless: check the earth through the bracket")
    if one.finish != wanted.finish and not one.is_stainless:
        says.append(f"finish {one.finish or 'not noted'}, was {wanted.finish or 'not noted'}")
    return Standin("may" if says else "same", tuple(says))


#: mm: what is longer by more is not worth naming; what rubber gives and a rule shows (workshop judgement).
_LONGER, _RUBBER_WITHIN = 5.0, 0.5


def _weaker(one: Item, wanted: Item, *, critical: bool) -> str:
    """Why `one` is too weak for where `wanted` was; "" if it is not, as far as is known."""
    steel = fasteners().steel
    if critical and one.is_stainless:
        return "stainless: never at brakes, steering, belts or the fuel rail"
    if critical and not wanted.klass:
        return "class of the old one not noted: read it on its head before you buy"
    if not wanted.klass or wanted.klass in (one.klass, one.klass.partition("-")[0]):
        return ""
    if not one.klass:
        return f"its class is not noted; {wanted.klass} is needed"
    if one.klass in steel and wanted.klass in steel:
        lower = steel.index(one.klass) < steel.index(wanted.klass)
        return f"class {one.klass} is lower than {wanted.klass}" if lower else ""
    return f"{one.klass} is not {wanted.klass}"


def same_things(one: str, other: str) -> bool:
    """Whether two texts name as many of the same things, however written, and whatever of them is lost or broken."""
    return one == other or _counted(one) == _counted(other)


def _counted(text: str) -> Counter[str]:
    found: Counter[str] = Counter()
    for item in items(text):
        if not (item.state and item.key in found):  # ", 1 lost" speaks of what was counted
            found[item.key] += item.count or 1
    return found


def clearance_hole(item: Item) -> tuple[float, ...]:
    """The clearance holes of a metric screw, mm: fine, medium, coarse (ISO 273); empty if there are none."""
    return fasteners().holes.get(item.thread.removeprefix("M").partition("x")[0], ())


def grommet_findings(item: Item, hole: float | None, plate: float | None, sleeve: float | None) -> list[str]:
    """What keeps a grommet from fitting a hole (mm) in a plate (thickness, mm); what is not known is said. Empty: fits.

    `sleeve`: length of the sleeve in it, mm. The sleeve must carry the clamp, not the rubber: it must be there, and be
    no longer than the grommet is thick.
    """
    says = []
    sleeve = sleeve if sleeve is not None else item.sleeve
    if not item.groove:
        says.append("measure the groove: inner, outer and thickness do not say whether it fits")
    else:
        across, width = item.groove
        if hole is None:
            says.append(f"measure the hole: the groove is {number(across)} across")
        elif abs(across - hole) > _RUBBER_WITHIN:
            says.append(f"the groove is {number(across)} across, the hole {number(hole)}")
        if plate is None:
            says.append(f"measure the plate: the groove is {number(width)} wide")
        elif abs(width - plate) > _RUBBER_WITHIN:
            says.append(f"the groove is {number(width)} wide, the plate {number(plate)} thick")
    if len(item.sizes) == 3:
        if sleeve is None:
            says.append("no sleeve noted: without one the screw crushes the rubber")
        elif sleeve > item.sizes[2]:
            thick = number(item.sizes[2])
            says.append(f"the sleeve ({number(sleeve)}) is longer than the grommet is thick ({thick}): loose")
        elif plate is not None and sleeve <= plate:
            says.append(f"the sleeve ({number(sleeve)}) does not reach through: it cannot carry the clamp")
    return says
