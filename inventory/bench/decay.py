"""How a vacuum falls: three laws of leakage, each fitted to the readings of a hold.

A leak's flow goes with a power m of the vacuum behind it: m = 0 where the flow is choked (the needle falls on a
straight line), m = 1/2 through a hole, m = 1 through a fine pore (an exponential). No real leak is outside
these, so what all three say may be carried to another time or start.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

__all__ = ["LAWS", "Law", "LawFit", "fit_law", "share_kept"]

Law = Literal["exponential", "orifice", "straight"]
Vector = NDArray[np.float64]

LAWS: tuple[Law, ...] = ("exponential", "orifice", "straight")

_START_POWER: dict[Law, float] = {"exponential": 0.0, "orifice": 0.5, "straight": 1.0}


@dataclass(frozen=True)
class LawFit:
    """One law fitted: start in Pa, rate and its standard uncertainty in 1/s, the largest residual in Pa.

    For the exponential the rate is k = 1/T. Negative rates, a rise within the gauge's steps, are kept.
    """

    law: Law
    start_pa: float
    rate_per_s: float
    u_rate_per_s: float
    stray_pa: float

    def kept(self, after_s: float, *, from_pa: float | None = None) -> tuple[float, float]:
        """Share of the vacuum left `after_s` seconds, and its standard uncertainty.

        With `from_pa`, as if it had been drawn to that vacuum (Pa) instead of this start.
        """
        scale = 1.0 if from_pa is None else (self.start_pa / from_pa) ** _START_POWER[self.law]
        loss = scale * self.rate_per_s * after_s
        share = float(share_kept(self.law, np.array([loss]))[0])
        slope = {"exponential": share, "orifice": 2.0 * max(0.0, 1.0 - loss), "straight": 1.0}[self.law]
        return min(share, 1.0), slope * scale * self.u_rate_per_s * after_s


def share_kept(law: Law, loss: Vector) -> Vector:
    """Share of the start left where rate times time is `loss` (pure numbers)."""
    if law == "exponential":
        kept: Vector = np.exp(-loss)
        return kept
    left: Vector = np.maximum(0.0, 1.0 - loss)
    return left**2 if law == "orifice" else left


def fit_law(law: Law, times_s: Vector, vacuum_pa: Vector, u_pa: Vector) -> LawFit | None:
    """Weighted least squares of start and rate. Needs two different times, the first vacuum above zero.

    None where no such curve goes through the readings, as an exponential through zero; then the law says nothing.
    """
    # scipy.optimize costs about 0.7 s to import: only a run that is judged pays.
    from scipy.optimize import least_squares

    span, top = float(times_s[-1] - times_s[0]), float(vacuum_pa[0])
    x, y, sigma = (times_s - times_s[0]) / span, vacuum_pa / top, u_pa / top

    def off(best: Vector) -> Vector:
        strays: Vector = (best[0] * share_kept(law, best[1] * x) - y) / sigma
        return strays

    lost = 1.0 - float(y[-1])
    guess = -np.log(max(1.0 - lost, 0.01)) if law == "exponential" else lost * (0.6 if law == "orifice" else 1.0)
    found = least_squares(off, (1.0, guess), method="lm", ftol=1e-12, xtol=1e-12, max_nfev=500)
    slopes = np.asarray(found.jac, dtype=np.float64)
    information = slopes.T @ slopes
    if not found.success or np.linalg.cond(information) > 1e12:
        return None
    u_rate = float(np.sqrt(np.linalg.inv(information)[1, 1]))
    stray = float(np.max(np.abs(off(found.x) * sigma))) * top
    return LawFit(law, float(found.x[0]) * top, float(found.x[1]) / span, u_rate / span, stray)
