"""Whether to buy what is offered: yes, no, at what price, or what to ask first."""

from __future__ import annotations

import re
from decimal import ROUND_FLOOR, Decimal
from typing import Any

import pytest

from inventory.appraisal.judgement import appraise
from inventory.appraisal.offer import Appraisal
from inventory.appraisal.typed_offer import read_offer
from inventory.errors import Refused, UnknownName
from inventory.reasons import PUBLISHED
from inventory.reference.appraisal import appraisal_data
from inventory.reference.data import PROGRAM, Reference
from inventory.seals.states import STATES

TOLD = ("Tested OK", "ran well when it came off")


def offered(kind: str = "pressure sensor", price: str = "280", worth: str = "850", **given: Any) -> Appraisal:
    given = {"part_number": "HV 204 118", "carriage": "25", "core": "90", **given}
    return appraise(read_offer(kind, price, "EUR", worth, given.pop("reference", PROGRAM), **given))


def says(found: Appraisal) -> str:
    return "\n".join(found.lines)


def by_test(found: Appraisal) -> dict[str, Decimal]:
    return {f"{test.test}, {test.where}": test.value for test in found.next_tests}


def test_the_price_is_the_root_of_what_buying_is_worth() -> None:
    told: dict[str, Any] = {"claims": ["tested"], "seals": ["cap=intact"], "repair": "400"}
    found = offered(**told)
    p = Decimal(found.p_serviceable)
    most = found.highest_sensible_price.quantize(Decimal("0.01"), ROUND_FLOOR)

    assert found.expected_worth == p * 850 + (1 - p) * 450
    assert found.highest_sensible_price == found.expected_worth - 25
    answered = ["hold", "cap", "label", "sealant"]
    assert offered(price=f"{most}", answered=answered, **told).verdict == "buy"
    assert offered(price=f"{most + Decimal('0.01')}", answered=answered, **told).verdict == "leave"


@pytest.mark.parametrize(
    ("price", "repair", "verdict", "starts"),
    [
        ("280", "400", "buy", "yes at EUR 280, highest sensible price about EUR 6"),
        ("480", None, "ask first", "ask first: a film of a hold is worth about EUR "),
        ("800", None, "leave", "no at EUR 800, highest sensible price about EUR 4"),
    ],
)
def test_a_plain_verdict_leads(price: str, repair: str | None, verdict: str, starts: str) -> None:
    found = offered(price=price, repair=repair, claims=["tested"], seals=["cap=intact"])

    assert found.verdict == verdict
    assert found.says.startswith(starts)


def test_round_for_people_never_contradicts_the_price() -> None:
    """Where two figures would fall below a price that is still sensible, the highest one is said in full."""
    found = offered(price="444.60", answered=["hold", "cap", "label", "sealant"])

    assert found.highest_sensible_price == 445  # 0.5 x 850 + 0.5 x 90 - 25
    assert found.says == "yes at EUR 444.60, highest sensible price EUR 445"


def test_what_is_not_worth_its_carriage_is_not_taken_as_a_gift() -> None:
    found = offered(price="0", worth="40", core="0", carriage="30")

    assert found.says == "no at EUR 0, not even as a gift: it is not worth its carriage"
    assert found.as_dict()["highest_sensible_price"] == "0.00"


def test_tested_counts_as_the_coils_and_moves_little() -> None:
    nothing, tested, hold = (offered(claims=claims).p_serviceable for claims in ([], ["tested"], ["hold passed=film"]))

    assert 0 < tested - nothing < 0.01 < 0.1 < hold - nothing
    assert "they hardly ever fail" in says(offered(claims=["tested"]))
    assert "with a torn diaphragm an engine still runs" in says(offered(claims=["runs well"]))


def test_what_is_shown_weighs_more_than_what_is_said_and_a_fault_most() -> None:
    said, shown, failed = (
        offered(claims=[claim]).p_serviceable for claim in ("hold passed", "hold passed=film", "hold not passed=film")
    )

    assert failed < 0.2 < said < shown


@pytest.mark.parametrize("words", ["hold not passed", "the hold failed", "Hold failed"])
def test_a_fault_owned_up_to_is_read_in_several_ways(words: str) -> None:
    assert offered(claims=[words]).p_serviceable == offered(claims=["hold not passed=film"]).p_serviceable


def test_the_value_of_a_hold_by_counting_every_fault() -> None:
    """The own bench's hold, without the record's own code: all faults, both outcomes, keep it or send it back."""
    found = offered(price="480", returnable=True, answered=["hold"])
    kind_modes, alarm = PROGRAM.failure_modes("pressure sensor"), PROGRAM.failures.tests["hold"].false_alarm
    worlds = [(kind_modes.good, True, alarm)]
    worlds += [((1 - kind_modes.good) * mode.share, False, mode.shows.get("hold", alarm)) for mode in kind_modes.modes]
    paid, total = 480 + 25, 0.0
    for passes in (True, False):
        keeping = sum(
            chance * ((1 - shows) if passes else shows) * ((850 if good else 90) - paid)
            for chance, good, shows in worlds
        )
        sending_back = sum(chance * ((1 - shows) if passes else shows) * -(25 + 25) for chance, _, shows in worlds)
        total += max(keeping, sending_back)
    deciding_now = max(0.0, sum(chance * ((850 if good else 90) - paid) for chance, good, _ in worlds))

    assert float(by_test(found)["hold, own bench"]) == pytest.approx(total - deciding_now, abs=1e-9)


def test_with_a_right_of_return_the_own_bench_is_the_cheapest_test() -> None:
    without, back = (offered(price="480", claims=TOLD, returnable=returnable) for returnable in (False, True))

    assert {test.where for test in without.next_tests} == {"seller"}
    assert back.verdict == "buy to test"
    assert (back.next_tests[0].test, back.next_tests[0].where) == ("hold", "own bench")
    assert back.next_tests[0].cost == 25
    assert "your own bench is the cheapest reliable test" in says(back)
    assert "carriage both ways, EUR 50" in says(back)
    assert "a right of return would be worth about EUR" in says(without)


def test_dear_carriage_back_makes_the_bench_worth_less() -> None:
    near, far = (by_test(offered(price="480", returnable=True, carriage_back=back)) for back in ("25", "90"))

    assert near["hold, own bench"] > far["hold, own bench"]


def test_next_tests_are_worth_more_than_they_cost_best_first() -> None:
    values = [test.value for test in offered(price="480", claims=TOLD, returnable=True).next_tests]

    assert values == sorted(values, reverse=True)
    assert min(values) > 0


def test_nothing_is_worth_asking_where_even_a_bad_one_pays() -> None:
    found = offered(repair="400")

    assert found.next_tests == ()
    assert "if it can be repaired for EUR 400: make sure that somebody will do it" in says(found)


def test_what_was_answered_is_no_longer_worth_asking() -> None:
    before = offered(price="480")
    after = offered(price="480", claims=["hold passed=film"])

    assert "hold, seller" in by_test(before)
    assert "hold, seller" not in by_test(after)
    assert before.next_tests[0].if_pass == after.highest_sensible_price


@pytest.mark.parametrize(
    ("seal", "means"),
    [
        ("cap=missing", "with the cap missing, somebody may have moved the adjuster under it"),
        ("cap=disturbed=picture", "counts as missing: assume that the adjuster was moved"),
        ("cap=renewed", "a new cap without a specialist's paper counts as disturbed"),
        ("cap=renewed=specialist's paper", "a new cap with a specialist's paper counts as intact"),
        ("cap=intact", "cap intact, claimed, not shown: an intact cap suggests that nobody has moved the adjuster"),
        ("cap=intact=picture", "cap intact, picture shown"),
        ("label=missing", "the label is missing"),
    ],
)
def test_what_a_seal_means_in_a_sentence(seal: str, means: str) -> None:
    assert means in says(offered(seals=[seal]))


def test_a_renewed_cap_counts_by_its_paper() -> None:
    missing, bare, papered = (
        offered(seals=[f"cap={how}"]).p_serviceable for how in ("missing", "renewed", "renewed=specialist's paper")
    )

    assert bare == missing < offered().p_serviceable < papered


def test_a_cap_that_this_number_never_had_is_a_fresh_one() -> None:
    own = Reference("own.toml", {"seals": [{"number": "HV 204 118", "seals": ["sealant"]}]})
    found = offered(seals=["cap=intact"], reference=own)
    unasked = offered(reference=own)

    assert "this number left the factory without a cap" in says(found)
    assert found.p_serviceable == offered(seals=["cap=renewed"]).p_serviceable
    assert "cap" not in [asked.name for asked in unasked.ask_seller]
    assert "the seller says nothing about the cap" not in says(unasked)


def test_a_seal_that_guards_nothing_counts_for_nothing() -> None:
    bare, capped = (offered(kind="injector", part_number="", seals=seals) for seals in ([], ["cap=intact"]))

    assert capped.p_serviceable == bare.p_serviceable
    assert "no cap is on file for this kind and number" in says(capped)
    assert "not intact" not in says(capped)


@pytest.mark.parametrize(
    ("code", "means"),
    [
        ("K", "letter K, claimed, not shown: the factory set it together with a mate of that letter"),
        ("K=picture", "letter K, picture shown"),
        ("label gone", "without its letter nobody can tell its mate any more"),
        ("never fitted", "a part number without letters is paired by number alone"),
        ("", "the seller says nothing about the letter"),
    ],
)
def test_what_a_letter_means_in_a_sentence(code: str, means: str) -> None:
    assert means in says(offered(match_code=code))


def test_only_what_is_not_yet_answered_is_asked() -> None:
    nothing = [asked.name for asked in offered().ask_seller]
    much = offered(
        seals=["cap=intact=picture", "label=missing"],
        claims=["hold not passed=film"],
        match_code="K=picture",
        returnable=True,
        answered=["plate", "plug"],
    )

    assert {"cap", "plate", "letter", "hold", "plug", "port", "seam", "return"} <= set(nothing)
    assert [asked.name for asked in much.ask_seller] == ["sealant", "port", "seam", "history"]


def test_words_without_proof_leave_the_question_open() -> None:
    asked = [each.name for each in offered(seals=["cap=intact"], claims=["hold passed"], match_code="K").ask_seller]

    assert {"cap", "hold", "letter"} <= set(asked)


def test_the_message_is_ready_to_paste() -> None:
    found = offered(claims=TOLD)

    assert found.message.startswith("Hello,\n\nI am interested in the pressure sensor HV 204 118 you have on offer.")
    assert all(each.asks in found.message for each in found.ask_seller)
    film = next(line for line in found.message.split("\n") if "film" in line)
    assert film.index("plug the end of the hose") < film.index("with the unit on the hose")
    assert "nothing by mouth" in film
    assert "Which unit does the dial show" in film
    assert "EUR" not in found.message
    assert "--" not in found.message


def test_nothing_left_to_ask_is_no_message() -> None:
    every = [asked.name for asked in offered().ask_seller]

    assert offered(answered=every).message == ""


@pytest.mark.parametrize("kind", [each.name for each in PROGRAM.kinds])
def test_every_kind_can_be_appraised(kind: str) -> None:
    found = offered(kind=kind, part_number="", claims=["tested", "runs well"], returnable=True)

    assert found.says.split()[0] in ("yes", "no", "ask", "buy")
    assert f"the {kind} you" in found.message
    assert not any("film of a hold" in test.phrase for test in found.next_tests if kind != "pressure sensor")
    assert found.reasons


def test_a_variant_is_known_by_its_marks() -> None:
    plain, variant = offered(), offered(marks="without full-load diaphragm")

    assert variant.p_serviceable > plain.p_serviceable


def test_every_answer_can_be_given() -> None:
    """Each claim, seal and state that a question says to give is taken."""
    for question in appraisal_data().questions:
        kind = (question.kinds or ("pressure sensor",))[0]
        for option, quoted, bare in re.findall(r'--(claim|seal|match-code) (?:"([^"]+)"|(\S+))', question.then):
            words = quoted or bare
            given: dict[str, Any] = {"match_code": words} if option == "match-code" else {f"{option}s": [words]}
            found = offered(kind=kind, **given)
            if (
                words != "WORD FOR WORD"
                and question.name != "history"
                and question.seal in (*PROGRAM.factory_seals(kind), "")
            ):
                assert question.name not in [asked.name for asked in found.ask_seller], words


def test_questions_that_are_tests_name_tests_on_file() -> None:
    data = PROGRAM.failures
    tests = [question for question in appraisal_data().questions if question.test]

    assert {question.test for question in tests} <= set(data.tests)
    assert {question.proof for question in tests} <= set(data.claim_proof)
    assert all(0 < question.wait < 0.1 for question in tests)


def test_meanings_are_of_states_on_file() -> None:
    seal_states = {state for of, state in appraisal_data().meanings if of != "letter"}

    assert seal_states <= {*STATES, "renewed, with paper", "not told"}


def test_amounts_have_the_decimals_of_their_currency() -> None:
    yen = appraise(read_offer("relay", "2800", "jpy", "8500", PROGRAM, carriage="300")).as_dict()

    assert (yen["currency"], yen["expected_worth"]) == ("JPY", "5950")
    assert re.fullmatch(r"\d+", str(yen["highest_sensible_price"]))


def test_no_figure_here_is_shown_as_a_standard() -> None:
    assert PUBLISHED not in {reason.standing for reason in offered(price="480", claims=TOLD).reasons}


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"kind": "presure sensor"}, "unknown-kind"),
        ({"claims": ["tested=telegram"]}, "unknown-proof"),
        ({"claims": [" "]}, "nothing-said"),
        ({"seals": ["cap"]}, "not-a-seal"),
        ({"seals": ["cap=whole"]}, "unknown-seal-state"),
        ({"source": "cousin"}, "unknown-source"),
        ({"answered": ["colour"]}, "unknown-question"),
        ({"price": "about 280"}, "not-an-amount"),
        ({"core": "900"}, "core-above-worth"),
    ],
)
def test_what_cannot_stand_is_refused(given: dict[str, Any], code: str) -> None:
    with pytest.raises(Refused) as refusal:
        offered(**given)

    assert refusal.value.code == code
    assert isinstance(refusal.value, UnknownName) == code.startswith("unknown")
