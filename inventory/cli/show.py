"""How `part show` prints a card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.parts.card import Card
from inventory.parts.history import FactView

if TYPE_CHECKING:
    from inventory.parts.tables import Part

__all__ = ["as_text", "headline"]

_QUIET = frozenset({"seal", "state", "document", "extra", "readings", "conditions", "strip_down"})


def headline(part: Part) -> str:
    """One line that says which part it is: tag, kind, maker, number, serial."""
    serial = f"serial {part.serial}" if part.serial else "no serial read"
    words = (part.kind or "taken back", part.maker, part.part_number)
    return f"{part.tag}  {' '.join(word for word in words if word)}, {serial}"


def as_text(card: Card) -> str:
    """A card for people, section by section; empty sections are left out."""
    line = card.line
    head = " ".join(word for word in ((line.kind or "taken back").upper(), line.maker, line.part_number) if word)
    rows = [f"{line.tag}  {head}"]
    rows += [f"  {name}: {value}" for name, value in _facts_on_top(card) if value]
    for title, section in (
        ("Seals", "seals"),
        ("Came off", "removals"),
        ("Fitted", "fittings"),
        ("Work", "work"),
        ("From", "provenance"),
        ("Said of it", "claims"),
        ("Values", "values"),
        ("Pictures and papers", "documents"),
        ("Notes", "notes"),
    ):
        if card[section]:
            rows += [title, *(f"  {fact.id}  {fact.on}  {_said(section, fact)}" for fact in card[section])]
    if card.runs:
        rows.append("Measured")
        rows += [
            f"  {run.fact.id}  {run.fact.on}  {run.procedure}: {run.judgement.verdict.upper()}. {run.judgement.says}"
            for run in card.runs
        ]
    return "\n".join(rows)


def _facts_on_top(card: Card) -> list[tuple[str, str | None]]:
    line = card.line
    code = line.match_code or line.match_code_state
    if line.match_code:
        code = f"{line.match_code}, read from {line.match_code_read_from or 'the part itself'}"
    where = f"{'on' if line.fitted else 'off'} {line.car}" if line.car else None
    extra = "; ".join(f"{name}: {value}" for name, value in line.extra.items())
    return [
        ("serial", line.serial),
        ("date code", line.date_code),
        ("match code", code),
        ("marks", line.marks),
        ("seals together", line.seal_state),
        ("condition", f"{line.condition} of 0-3" if line.condition else None),
        ("whose", line.whose),
        ("car", ", ".join(word for word in (where, line.position) if word) or None),
        ("place", line.place),
        ("left", line.gone),
        ("other columns", extra or None),
    ]


def _said(section: str, fact: FactView) -> str:
    values = fact.values
    if section == "seals":
        return f"{values['seal']} {values['state']}" + (f" ({values['document']})" if values["document"] else "")
    if section == "documents":
        return f"{values['document']}, shows {values['shows']}"
    if section == "notes":
        return str(values["text"])
    if section == "claims":
        test = f"{values['test']} {values['came_out']}" if values["test"] else None
        who = values["party"] or f"source {values['source']}"
        return ", ".join(word for word in (f'"{values["said"]}"', test, who, f"proof {values['proof']}") if word)
    said = [f"{name.replace('_', ' ')} {value}" for name, value in values.items() if value and name not in _QUIET]
    return ", ".join(said)
