"""How `part show` prints a card."""

from __future__ import annotations

from inventory.card import Card, History
from inventory.contradictions.looks import LETTER
from inventory.facts.how_known import TOLD, is_own, told_value
from inventory.facts.views import FactView
from inventory.store.words.nothing import nothing_in

__all__ = ["as_text", "history_lines"]

#: Sections whose facts are shown in the lines at the top of the card, or with their verdicts.
_ON_TOP = frozenset({"markings", "runs"})


def as_text(card: Card) -> str:
    """A card for people, section by section; empty sections are left out."""
    line = card.line
    head = " ".join(word for word in ((line.kind or "taken back").upper(), line.maker, line.part_number) if word)
    rows = [f"{line.tag}  {head}"]
    rows += [f"  {name}: {value}" for name, value in _facts_on_top(card) if value]
    if card.contradictions:
        rows += ["Does not fit", *(f"  {each.says}" for each in card.contradictions)]
    return "\n".join([*rows, *history_lines(card.history)])


def history_lines(history: History) -> list[str]:
    """The facts and runs of a thing, section by section; empty sections and those shown on top are left out."""
    rows = []

    def _digest(fact: FactView) -> str:
        digest = history.digests.get(fact.id)
        return f"  {digest[:12]}" if digest else ""

    for kind, facts in history.facts.items():
        if facts and kind.section is not None and kind.section.key not in _ON_TOP:
            rows.append(kind.section.title)
            rows += [f"  {fact.id}  {fact.on}  {fact.as_said}{_whose_word(fact)}{_digest(fact)}" for fact in facts]
    if history.runs:
        rows.append("Measured")
        rows += [f"  {run.fact.id}  {run.fact.on}  {run.procedure}: {run.as_said}" for run in history.runs]
        own = dict.fromkeys(run.context.data.limits for run in history.runs if run.context.data.taken)
        rows += [f"  judged by {limits}" for limits in own]
    return rows


def _whose_word(fact: FactView) -> str:
    """How a look at a seal is known that we did not make ourselves: ", said by seller"."""
    own = is_own(fact) or fact.how_known in TOLD
    return f", {fact.how_known}" if fact.table == "seal_sighting" and not own else ""


def _facts_on_top(card: Card) -> list[tuple[str, str | None]]:
    line = card.line
    code = line.match_code or line.match_code_state
    if line.match_code:
        own = any(fact.values.get("match_code") == code and is_own(fact) for fact in card["markings"])
        origin = line.match_code_read_from or ("the part itself" if own else "a sheet or the word of others")
        code = f"{line.match_code}, {'as written, no letter' if nothing_in(line.match_code) else f'read from {origin}'}"
    where = f"{'on' if line.fitted else 'off'} {line.car}" if line.car else None
    in_doubt = any(each.place_open for each in card.contradictions)
    extra = "; ".join(f"{name}: {value}" for name, value in line.extra.items()).replace("\n", " / ")
    if any(each.open and each.about == LETTER for each in card.contradictions):
        code = f"not clearly read; last: {code}"
    looks = f"{line.condition} of 0-3" if line.condition else None
    if line.condition:
        looks = f"{looks}{told_value(card['assessments'], 'category', int(line.condition))}"
    stored = line.place and f"{line.place}{told_value(card['moves'], 'place', line.place)}"
    return [
        ("serial", line.serial or line.serial_state),
        ("date code", line.date_code),
        ("match code", code),
        ("marks", line.marks),
        ("all seals", line.seal_state and f"{line.seal_state}{told_value(card['seals'], 'state', line.seal_state)}"),
        ("condition", looks),
        ("whose", f"{line.whose}{told_value(card['provenance'], 'whose', line.whose)}"),
        ("whereabouts", "open; last recorded as follows" if in_doubt else None),
        ("car", ", ".join(word for word in (where, line.position) if word) or None),
        ("place", f"{stored}, {card.not_here.says}" if card.not_here else stored),
        ("left", line.gone),
        ("kept together with", ", ".join(line.as_one) or None),
        ("other columns", extra or None),
    ]
