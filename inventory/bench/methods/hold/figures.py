"""The figures of a hold: share kept, time constant, leak."""

from __future__ import annotations

from inventory.bench.methods.hold.decay import LawFit, share_kept
from inventory.bench.methods.hold.values import HoldInput, HoldLimits, HoldResult
from inventory.bench.quantities.air import leak_mol_per_s, leak_pa_m3_per_s
from inventory.bench.verdicts import TWO_SIDED

__all__ = ["figures_of", "kept_interval", "rig_figures"]

_KEYS = (
    "kept_share_at_limit",
    "kept_share_at_limit_low",
    "kept_share_at_limit_high",
    "limit_share",
    "limit_time_s",
    "time_constant_s",
    "time_constant_low_s",
    "time_constant_high_s",
    "limit_time_constant_s",
    "clock_from_s",
    "leak_rate_pa_m3_per_s",
    "mean_leak_rate_pa_m3_per_s",
    "mean_leak_mol_per_s",
    "rig_cleared",
    "rig_cleared_by",
)


def figures_of(found: HoldResult | None, given: HoldInput, limits: HoldLimits) -> dict[str, object]:
    """The figures by key; None if one cannot be computed.

    The share kept is from the law that fits; time constant and initial leak (V p0/T) are from the exponential. The
    mean leak is for unit and rig together over the hold, by the gas law with both temperatures.
    """
    figures: dict[str, object] = dict.fromkeys(_KEYS)
    figures |= {
        "limit_share": limits.share,
        "limit_time_s": limits.time_s,
        "limit_time_constant_s": limits.time_constant_s,
        "clock_from_s": given.held[0].time_s if given.held else None,
        "short_uncleared": False,
    }
    if found is not None:
        figures |= rig_figures(found.rig_cleared, found.cleared_by)
    if found is not None and found.best is not None:
        names = ("kept_share_at_limit_low", "kept_share_at_limit", "kept_share_at_limit_high")
        figures |= dict(zip(names, kept_interval(found.best, limits), strict=True))
    if found is None or (fit := found.exponential) is None:
        return figures
    rate, margin = fit.rate_per_s, TWO_SIDED * fit.u_rate_per_s
    slow, mid, fast = (1.0 / k if k > 0.0 else None for k in (rate - margin, rate, rate + margin))
    figures |= {"time_constant_s": mid, "time_constant_low_s": fast, "time_constant_high_s": slow}
    if given.volume is not None:
        figures["leak_rate_pa_m3_per_s"] = given.volume.si * fit.start_pa * max(0.0, rate)
        figures |= _mean_leak(given, given.volume.si)
    return figures


def rig_figures(cleared: bool | None, by: str) -> dict[str, object]:
    """Whether the rig of a hold that fell short is cleared, and by what; `cleared` is None if it did not fall short."""
    return {"rig_cleared": cleared, "rig_cleared_by": by or None, "short_uncleared": cleared is False}


def kept_interval(fit: LawFit, limits: HoldLimits) -> tuple[float, float, float]:
    """Share of the vacuum kept at the rule's time: lower end of the 95 % interval, best, upper end; none above 1."""
    rate, margin = fit.rate_per_s, TWO_SIDED * fit.u_rate_per_s
    rates = (rate + margin, rate, rate - margin)
    low, kept, high = (min(1.0, share_kept(fit.law, limits.time_s * each)) for each in rates)
    return low, kept, high


def _mean_leak(given: HoldInput, volume: float) -> dict[str, object]:
    """The mean leak between the first and the last reading."""
    air = given.air
    if given.rig.volume is not None:
        volume += given.rig.volume.si
    first, last = given.held[0], given.held[-1]
    before = air.outside_pa - given.true_pa(first)
    after = air.outside_pa + (air.barometer_up_pa or 0.0) - given.true_pa(last)
    warm = air.temperature_k + (air.warmer_k or 0.0)
    moles = leak_mol_per_s(volume, (before, air.temperature_k), (after, warm), last.time_s - first.time_s)
    return {
        "mean_leak_rate_pa_m3_per_s": leak_pa_m3_per_s(moles, air.temperature_k),
        "mean_leak_mol_per_s": moles,
    }
