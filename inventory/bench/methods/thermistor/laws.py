"""A thermistor's resistance against temperature: Beta and Steinhart-Hart laws, and a curve through a table.

Pure. Temperatures in degC, resistances in ohm; both laws work in kelvin and natural logarithms.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.bench.quantities.units import ZERO_CELSIUS_K

__all__ = ["Beta", "Curve", "SteinhartHart", "beta", "steinhart_hart"]


@dataclass(frozen=True)
class Beta:
    """1/T = 1/T0 + ln(R/R0)/B: two points determine it (IEC 60539-1). `b` in kelvin."""

    ohm_0: float
    degc_0: float
    b: float

    def ohm(self, degc: float) -> float:
        """The resistance at a temperature."""
        return self.ohm_0 * math.exp(self.b * (1.0 / _kelvin(degc) - 1.0 / _kelvin(self.degc_0)))

    def degc(self, ohm: float) -> float:
        """The temperature at a resistance."""
        return 1.0 / (1.0 / _kelvin(self.degc_0) + math.log(ohm / self.ohm_0) / self.b) - ZERO_CELSIUS_K


@dataclass(frozen=True)
class SteinhartHart:
    """1/T = A + B ln R + C (ln R)^3: three points determine it."""

    a: float
    b: float
    c: float

    def degc(self, ohm: float) -> float:
        """The temperature at a resistance."""
        x = math.log(ohm)
        return 1.0 / (self.a + self.b * x + self.c * x**3) - ZERO_CELSIUS_K

    def ohm(self, degc: float) -> float:
        """The resistance at a temperature: the real root of the cubic in ln R."""
        short = self.a - 1.0 / _kelvin(degc)
        x = -short / self.b
        for _ in range(50):
            step = (self.c * x**3 + self.b * x + short) / (3.0 * self.c * x * x + self.b)
            x -= step
            if abs(step) < 1e-13 * max(1.0, abs(x)):
                break
        return math.exp(x)


def beta(one: tuple[float, float], other: tuple[float, float]) -> Beta:
    """The Beta law through two points (degC, ohm): B = ln(R1/R2) / (1/T1 - 1/T2)."""
    (t1, r1), (t2, r2) = one, other
    return Beta(r1, t1, math.log(r1 / r2) / (1.0 / _kelvin(t1) - 1.0 / _kelvin(t2)))


def steinhart_hart(points: Sequence[tuple[float, float]]) -> SteinhartHart:
    """The Steinhart-Hart law through three points (degC, ohm)."""
    x = [math.log(ohm) for _, ohm in points]
    y = [1.0 / _kelvin(degc) for degc, _ in points]
    g2, g3 = (y[1] - y[0]) / (x[1] - x[0]), (y[2] - y[0]) / (x[2] - x[0])
    c = (g3 - g2) / (x[2] - x[1]) / (x[0] + x[1] + x[2])
    b = g2 - c * (x[0] ** 2 + x[0] * x[1] + x[1] ** 2)
    return SteinhartHart(y[0] - (b + x[0] ** 2 * c) * x[0], b, c)


@dataclass(frozen=True)
class Curve:
    """A table of (degC, ohm), coldest first, falling, with the law through three neighbours between its points.

    A table of two points has the Beta law. Beyond an end the last law continues, which is good for a degree or two at
    most: see `covers`.
    """

    points: tuple[tuple[float, float], ...]

    @property
    def ends(self) -> tuple[float, float]:
        """The coldest and the hottest temperature of the table."""
        return self.points[0][0], self.points[-1][0]

    def covers(self, degc: float) -> bool:
        """Whether a temperature lies within the table."""
        return self.ends[0] <= degc <= self.ends[1]

    def ohm(self, degc: float) -> float:
        """The resistance at a temperature."""
        inner = self.points[1:-1]
        return self._law(next((i for i, (until, _) in enumerate(inner) if degc <= until), len(inner))).ohm(degc)

    def degc(self, ohm: float) -> float:
        """The temperature for a resistance."""
        inner = self.points[1:-1]
        return self._law(next((i for i, (_, until) in enumerate(inner) if ohm >= until), len(inner))).degc(ohm)

    def _law(self, place: int) -> Beta | SteinhartHart:
        """The law between the points at `place` and the next."""
        first = min(place, max(0, len(self.points) - 3))
        near = self.points[first : first + 3]
        if len(near) > 2:
            law = steinhart_hart(near)
            if law.b > 0.0 and law.c >= 0.0:  # else the cubic through a rough table would not fall everywhere
                return law
        return beta(self.points[place], self.points[place + 1])


def _kelvin(degc: float) -> float:
    return degc + ZERO_CELSIUS_K
