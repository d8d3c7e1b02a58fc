"""Judges a sweep: primary inductance against vacuum, compared with a unit that this workshop trusts.

Pure. Light load (deep vacuum) and full load (little vacuum, where the full-load stop acts) are compared separately, and
so are the way back and the way down. If one meter measured both, an error of its scale cancels out.
"""

from __future__ import annotations

import math
from dataclasses import asdict

from inventory.bench.methods.sweep.curve import Sweep, Value
from inventory.bench.methods.sweep.ratios import Ratio, Zone, relative_difference, zone_of
from inventory.bench.methods.sweep.values import Row, SweepInput, SweepResult, SweepRules
from inventory.bench.methods.sweep.words import reasons_of, says_of
from inventory.bench.verdicts import RunJudgement, Verdict

__all__ = ["judge_sweep"]

_ROOT_3 = math.sqrt(3.0)
_LIKE, _GAP = "like the reference", "gap between down and up"


def judge_sweep(given: SweepInput, rules: SweepRules) -> RunJudgement:
    """Compare one sweep with its reference; without one only the gap between down and up is reported."""
    found = _work_out(given, rules)
    says = says_of(found, given, rules)
    return RunJudgement(found.verdict, says, _figures(found, given, rules), reasons_of(found, given, rules))


def _work_out(given: SweepInput, rules: SweepRules) -> SweepResult:
    hindrance = _hindrance(given, rules)
    reference = given.reference.curve if given.reference and not hindrance else None
    same_meter = reference is not None and reference.meter.same_as(given.sweep.meter)
    rows = _rows(given.sweep, reference, same_meter=same_meter)
    compared = [row.difference for row in rows if row.difference]
    light = zone_of([each for each in compared if each.place >= rules.boundary_pa], rules.difference)
    full = zone_of([each for each in compared if each.place < rules.boundary_pa], rules.difference)
    gap = zone_of([row.gap for row in rows if row.gap], rules.gap)
    if gap.state == "within" and len(given.sweep.up.points) < rules.points:
        gap = Zone("undecided", gap.worst)
    doubted = given.reference is not None and bool(given.reference.doubts)
    comparison = _comparison(light, full, gap, doubted=doubted)
    verdict = _verdict(comparison, hindrance, doubted=doubted)
    beyond = len(rows) - len(compared) if reference else 0
    return SweepResult(verdict, comparison, light, full, gap, rows, hindrance, beyond, same_meter)


def _hindrance(given: SweepInput, rules: SweepRules) -> str:
    """Why this sweep cannot be compared; empty if it can."""
    sweep, reference = given.sweep, given.reference
    if len(sweep.down.points) < rules.points:
        return f"{len(sweep.down.points)} vacua on the way down are too few; take {rules.points} or more"
    if reference is None:
        return "no reference was named (--reference)"
    if reference.hindrance:
        return reference.hindrance
    if reference.curve is None or len(reference.curve.down.points) < rules.points:
        return f"{reference.name} was swept at fewer than {rules.points} vacua on the way down"
    mine, its = sweep.frequency_hz, reference.curve.frequency_hz
    if mine is None or its is None:
        return f"the frequency of the measurement on {'this unit' if mine is None else reference.name} was not noted"
    if not math.isclose(mine, its, rel_tol=rules.frequency_apart):
        return f"this unit was measured at {mine:g} Hz, {reference.name} at {its:g} Hz"
    return ""


def _rows(sweep: Sweep, reference: Sweep | None, *, same_meter: bool) -> tuple[Row, ...]:
    """The values at each vacuum of the sweep, from no vacuum to the deepest."""
    typed: dict[float, str] = {}
    for point in (*sweep.down.points, *sweep.up.points):
        if not any(point.at(vacuum) for vacuum in typed):
            typed[point.place] = point.shown
    u_scale = 0.0
    if reference is not None and not same_meter:
        u_scale = math.hypot(sweep.meter.u_share, reference.meter.u_share)
    return tuple(_row(typed[vacuum], vacuum, sweep, reference, u_scale) for vacuum in sorted(typed))


def _row(vacuum: str, vacuum_pa: float, sweep: Sweep, reference: Sweep | None, u_scale: float) -> Row:
    down, up = sweep.down.value(vacuum_pa, sweep.meter), sweep.up.value(vacuum_pa, sweep.meter)
    its_down = reference.down.value(vacuum_pa, reference.meter) if reference else None
    its_up = reference.up.value(vacuum_pa, reference.meter) if reference else None
    ways = sweep.both(vacuum_pa)
    its_ways = reference.both(vacuum_pa) if reference else None
    pair = (down, its_down)
    if ways and its_ways:  # the mean of both ways: sticking moves them apart but not their mean
        pair = (_mean(*ways), _mean(*its_ways))
    difference = None
    if reference is not None and pair[0] is not None and pair[1] is not None:
        u_air = sweep.down.steepest(vacuum_pa) * _air_apart_pa(sweep, reference) / _ROOT_3 / pair[0].value
        ratio = relative_difference(pair[0], pair[1], math.hypot(u_scale, u_air))
        difference = Ratio(vacuum, vacuum_pa, *ratio)
    gap = Ratio(vacuum, vacuum_pa, *_gap(*ways)) if ways else None
    return Row(vacuum, vacuum_pa, _henry(down), _henry(up), _henry(its_down), _henry(its_up), difference, gap)


def _henry(value: Value | None) -> float | None:
    return value.value if value else None


def _air_apart_pa(sweep: Sweep, reference: Sweep) -> float:
    """The difference of the two barometers, Pa: evacuated cells respond to absolute pressure, not to vacuum.

    The direction of its effect is not known here, so it adds to the uncertainty and corrects nothing.
    """
    if sweep.barometer_pa is None or reference.barometer_pa is None:
        return 0.0
    return abs(sweep.barometer_pa - reference.barometer_pa)


def _mean(one: Value, other: Value) -> Value:
    return Value((one.value + other.value) / 2.0, math.hypot(one.u, other.u) / 2.0)


def _gap(down: Value, up: Value) -> tuple[float, float]:
    """Up minus down as a share of their mean, with its standard uncertainty; the meter's scale cancels out."""
    both = down.value + up.value
    u = 4.0 * math.hypot(down.value * up.u, up.value * down.u) / both**2
    return 2.0 * (up.value - down.value) / both, u


def _comparison(light: Zone, full: Zone, gap: Zone, *, doubted: bool) -> str | None:
    """The finding as one of five words; None if there is none. A doubtful reference proves no likeness."""
    at = {name for name, zone in (("light load", light), ("full load", full)) if zone.state == "beyond"}
    if at and not doubted:
        return "differs throughout" if len(at) == 2 else f"differs at {at.pop()}"
    if gap.state == "beyond":
        return _GAP
    alike = light.state == full.state == gap.state == "within"
    return _LIKE if alike and not doubted else None


def _verdict(comparison: str | None, hindrance: str, *, doubted: bool) -> Verdict:
    if hindrance:
        return "not judged"
    if comparison is None or doubted:
        return "undecided"
    return "pass" if comparison == _LIKE else "fail"


def _figures(found: SweepResult, given: SweepInput, rules: SweepRules) -> dict[str, object]:
    """Relative differences as shares (0.03 is 3 %), expanded uncertainties at k = 2; None if there is no value."""
    figures: dict[str, object] = {"comparison": found.comparison}
    zones = (("light_load_difference", found.light), ("full_load_difference", found.full), ("gap", found.gap))
    for name, zone in zones:
        worst = zone.worst
        figures[name] = worst.value if worst else None
        figures[f"{name}_expanded_uncertainty"] = 2.0 * worst.u if worst else None
        figures[f"{name}_at_pa"] = worst.place if worst else None
    figures |= {
        "difference_limit": rules.difference,
        "gap_limit": rules.gap,
        "full_load_below_pa": rules.boundary_pa,
        "frequency_hz": given.sweep.frequency_hz,
        "reference": given.reference.name if given.reference else None,
        "rows": [_row_figures(row) for row in found.rows],
    }
    return figures


def _row_figures(row: Row) -> dict[str, object]:
    figures = asdict(row)
    for name, ratio in (("difference", row.difference), ("gap", row.gap)):
        figures[name] = ratio.value if ratio else None
        figures[f"{name}_expanded_uncertainty"] = 2.0 * ratio.u if ratio else None
    return figures
