"""Every kind of thing and of fact, put together: one line for each subject that has some, in the order of a card."""

from __future__ import annotations

from inventory.adjusters import facts as adjusters
from inventory.bench import facts as bench
from inventory.cars import facts as cars
from inventory.evidence import facts as evidence
from inventory.facts import own
from inventory.facts.declare import Declared
from inventory.mishaps import facts as mishaps
from inventory.pairing import facts as pairing
from inventory.parts import facts as parts
from inventory.places import facts as places
from inventory.provenance import facts as provenance
from inventory.provenance.hands import begin_act, known_hand
from inventory.seals import facts as seals
from inventory.teardown import facts as teardown
from inventory.worth import facts as worth

__all__ = ["DECLARED"]

_SUBJECTS = (parts, seals, teardown, bench, mishaps, provenance, evidence, worth, places, cars, adjusters, pairing, own)

DECLARED = Declared(
    things=tuple(thing for each in _SUBJECTS for thing in getattr(each, "THINGS", ())),
    facts=tuple(fact for each in _SUBJECTS for fact in each.FACTS),
    begin_act=begin_act,
    known_hand=known_hand,
)
