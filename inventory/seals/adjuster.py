"""Whether somebody disturbed the full-load adjuster, judged from how the engine runs. Nobody touches the adjuster.

Pure. It says which load was disturbed and which way the mixture went, what to check first, and who can put it back. It
is common practice, for the two-screw stop only. It never says which way anything moves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.errors import Refused
from inventory.reasons import Reason
from inventory.reference.adjuster import Disturbance, adjuster_data
from inventory.store.words.names import one_of

__all__ = ["OBSERVED", "TYPES", "AdjusterReading", "read_adjuster"]

TYPES = ("two-screw", "other", "unknown")
OBSERVED = ("leaner", "richer", "unchanged", "unknown")


@dataclass(frozen=True)
class AdjusterReading:
    """The result. `read` is False unless the stop is known to be the two-screw one.

    `disturbed`: the disturbances that the observations leave possible; none if no single one explains them.
    """

    read: bool
    says: str
    disturbed: tuple[Disturbance, ...]
    look_first: tuple[str, ...]
    care: str
    remedy: str
    reasons: tuple[Reason, ...]

    def as_dict(self) -> dict[str, object]:
        """The JSON of `seal reading`."""
        return {
            "read": self.read,
            "says": self.says,
            "disturbed": [{"load": each.loads, "mixture": each.mixture} for each in self.disturbed],
            "look_first": list(self.look_first),
            "care": self.care,
            "remedy": self.remedy,
            "reasons": [reason.as_dict() for reason in self.reasons],
        }


def read_adjuster(
    kind: str,
    stop: str,
    part_load: str,
    full_load: str,
    *,
    checked: Sequence[str] = (),
    cap: str = "",
    cap_facts: tuple[str, ...] = (),
) -> AdjusterReading:
    """Explain how the engine runs now compared with before, for one type of stop (TYPES; OBSERVED at each load).

    `checked`: checks that were made and found good. `cap`: the last known state of the cap over the screws, from
    `cap_facts`. Raises `Refused` for a kind without such an adjuster, `UnknownName` for an unknown word.
    """
    data = adjuster_data()
    if kind not in data.kinds:
        raise Refused("no-adjuster", f"Only a {' or a '.join(data.kinds)} has this adjuster; this is: {kind}")
    one_of("type of stop", stop, TYPES)
    for load in (part_load, full_load):
        one_of("observation", load, OBSERVED)
    for name in checked:
        one_of("check", name, tuple(each.name for each in data.checks))
    look_first = tuple(each.says for each in data.checks if each.name not in checked)
    is_read = stop == "two-screw"
    observed = {part_load, full_load} != {"unknown"}
    possible = tuple(each for each in data.disturbances if _fits(each, part_load, full_load))
    disturbed = possible if is_read and observed else ()
    says = _says(disturbed, part_load, full_load) if is_read else data.not_read[stop]
    if is_read and look_first:
        says = f"{data.before}; {says}"
    reasons = [Reason(says, data.rule, data.source, data.standing)] if is_read else []
    if cap in data.caps:
        reasons.append(Reason(data.caps[cap], "", data.source, data.standing, cap_facts))
    reasons += [Reason(each, "", data.source, data.standing) for each in (data.care, data.remedy)]
    return AdjusterReading(is_read, says, disturbed, look_first, data.care, data.remedy, tuple(reasons))


def _fits(each: Disturbance, part_load: str, full_load: str) -> bool:
    return part_load in ("unknown", each.part_load) and full_load in ("unknown", each.full_load)


def _says(disturbed: Sequence[Disturbance], part_load: str, full_load: str) -> str:
    data, observed = adjuster_data(), {part_load, full_load}
    if observed == {"unknown"}:
        return data.nothing_observed
    if not disturbed:
        return data.nothing_changed if observed <= {"unchanged", "unknown"} else data.none_fits
    named = ", or ".join(f"at {each.loads}, where the mixture went {each.mixture}" for each in disturbed)
    return f"if the stop was disturbed, it was {named}; {data.one_fits if len(disturbed) == 1 else data.some_fit}"
