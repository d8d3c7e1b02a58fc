"""Whether somebody moved the full-load adjuster, judged from how the engine runs. Nobody touches the adjuster.

Pure. It says which movements of the two screws would explain the mixture at part and full load, and what to check
before blaming them. It is common practice, for the two-screw stop only. It never tells anybody to set a screw.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.errors import Refused
from inventory.reasons import Reason
from inventory.reference.adjuster import Movement, adjuster_data
from inventory.store.words.names import one_of

__all__ = ["OBSERVED", "TYPES", "AdjusterReading", "MovementFit", "read_adjuster"]

TYPES = ("two-screw", "other", "unknown")
OBSERVED = ("leaner", "richer", "unchanged", "unknown")


@dataclass(frozen=True)
class MovementFit:
    """One movement compared with the observations; `says` explains where it agrees or differs."""

    movement: str
    fits: bool
    says: str


@dataclass(frozen=True)
class AdjusterReading:
    """The result. `read` is False unless the stop is known to be the two-screw one."""

    read: bool
    says: str
    movements: tuple[MovementFit, ...]
    look_first: tuple[str, ...]
    care: str
    remedy: str
    reasons: tuple[Reason, ...]

    def as_dict(self) -> dict[str, object]:
        """The JSON of `seal reading`."""
        return {
            "read": self.read,
            "says": self.says,
            "fits": [fit.movement for fit in self.movements if fit.fits],
            "does_not_fit": [fit.movement for fit in self.movements if not fit.fits],
            "movements": [vars(fit) for fit in self.movements],
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
    for observed in (part_load, full_load):
        one_of("observation", observed, OBSERVED)
    for name in checked:
        one_of("check", name, tuple(each.name for each in data.checks))
    look_first = tuple(each.says for each in data.checks if each.name not in checked)
    fits = tuple(_fit(each, part_load, full_load) for each in data.movements) if stop == "two-screw" else ()
    says = data.not_read[stop] if stop != "two-screw" else _says(fits, part_load, full_load)
    if fits and look_first:
        says = f"{data.before}; {says}"
    reasons = [Reason(fit.says, data.rule, data.source, data.standing) for fit in fits]
    if cap in data.caps:
        reasons.append(Reason(data.caps[cap], "", data.source, data.standing, cap_facts))
    reasons += [Reason(each, "", data.source, data.standing) for each in (data.care, data.remedy)]
    return AdjusterReading(bool(fits), says, fits, look_first, data.care, data.remedy, tuple(reasons))


def _fit(movement: Movement, part_load: str, full_load: str) -> MovementFit:
    against = [
        f"{load} would be {made}, but was {seen}"
        for load, seen, made in (
            ("part load", part_load, movement.part_load),
            ("full load", full_load, movement.full_load),
        )
        if seen not in ("unknown", made)
    ]
    if against:
        return MovementFit(movement.name, False, f"{movement.name}: does not fit, {' and '.join(against)}")
    would = f"part load {movement.part_load}, full load {movement.full_load}"
    return MovementFit(movement.name, True, f"{movement.name}: fits, it would make {would}")


def _says(fits: Sequence[MovementFit], part_load: str, full_load: str) -> str:
    data, named = adjuster_data(), [fit.movement for fit in fits if fit.fits]
    observed = {part_load, full_load}
    if observed == {"unknown"}:
        return data.nothing_observed
    if not named:
        return data.nothing_changed if observed <= {"unchanged", "unknown"} else data.none_fits
    rest = data.one_fits if len(named) == 1 else data.some_fit
    return f"{' or '.join(named)} would explain it; {rest}"
