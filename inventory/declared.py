"""All kinds of things and facts, collected from the subjects. Their order is that of the card's sections."""

from __future__ import annotations

from inventory.adjusters import facts as adjusters
from inventory.appraisal import facts as appraisal
from inventory.bench import facts as bench
from inventory.cars import facts as cars
from inventory.contradictions import facts as contradictions
from inventory.counting import facts as counting
from inventory.documents import facts as documents
from inventory.evidence import facts as evidence
from inventory.evidence.load_contradicting import load_contradicting_tests
from inventory.facts.declare import Declared
from inventory.first_start import facts as first_start
from inventory.given_out import facts as given_out
from inventory.hardware import facts as hardware
from inventory.labels import facts as labels
from inventory.mishaps import facts as mishaps
from inventory.pairing import facts as pairing
from inventory.papers import facts as papers
from inventory.parts import facts as parts
from inventory.people import facts as people
from inventory.people.actions import begin_act, known_hand
from inventory.places import facts as places
from inventory.provenance import facts as provenance
from inventory.provenance.load_stolen import load_stolen
from inventory.record import facts as record
from inventory.refit import facts as refit
from inventory.seals import facts as seals
from inventory.teardown import facts as teardown
from inventory.valuation import facts as valuation

__all__ = ["DECLARED"]

_SUBJECTS = (
    parts,
    seals,
    contradictions,
    teardown,
    labels,
    refit,
    bench,
    mishaps,
    provenance,
    documents,
    people,
    given_out,
    counting,
    papers,
    appraisal,
    evidence,
    valuation,
    places,
    hardware,
    cars,
    first_start,
    adjusters,
    pairing,
    record,
)

DECLARED = Declared(
    things=tuple(thing for each in _SUBJECTS for thing in getattr(each, "THINGS", ())),
    facts=tuple(fact for each in _SUBJECTS for fact in each.FACTS),
    begin_act=begin_act,
    known_hand=known_hand,
    contradictions=(load_contradicting_tests, load_stolen),
)
