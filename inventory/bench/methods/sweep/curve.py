"""A sweep as a curve: inductance against vacuum, down and back up, each value with its uncertainty. Pure.

Between two points a value is read off the straight line, beyond the ends never.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from inventory.bench.quantities.readings import MeterSpec

__all__ = ["Meter", "Point", "Sweep", "Value", "Way"]

_ROOT_3 = math.sqrt(3.0)
_ROOT_12 = math.sqrt(12.0)
_ABSOLUTE_PA = 1e-6
_RELATIVE = 1e-9


@dataclass(frozen=True)
class Point:
    """One reading: vacuum and one step of its gauge in Pa, inductance and one step of its meter in H.

    `vacuum` is the vacuum as it is printed.
    """

    vacuum_pa: float
    vacuum_step_pa: float
    henry: float
    step_h: float
    vacuum: str

    def at(self, vacuum_pa: float) -> bool:
        """Whether it was taken at this vacuum."""
        return math.isclose(self.vacuum_pa, vacuum_pa, rel_tol=_RELATIVE, abs_tol=_ABSOLUTE_PA)


@dataclass(frozen=True)
class Meter:
    """A meter: its name (empty where only a specification was noted), and what it may be out by."""

    name: str
    spec: MeterSpec
    assumed: bool = False

    def u_step(self, point: Point) -> float:
        """Standard uncertainty in H of what comes anew with each reading: steps and fixed terms, taken as rectangles.

        The meter's share of the reading is not in it: it is the same for all readings of one meter.
        """
        return (self.spec.fixed + self.spec.counts * point.step_h) / _ROOT_3

    def same_as(self, other: Meter) -> bool:
        """Whether both are known to be one meter: by name, blanks and case left out."""
        mine, its = ("".join(name.split()).casefold() for name in (self.name, other.name))
        return "" != mine == its

    @property
    def u_share(self) -> float:
        """Relative standard uncertainty of its scale, a rectangle too (JCGM 100, 4.3.7)."""
        return self.spec.share / _ROOT_3


@dataclass(frozen=True)
class Value:
    """An inductance in H with its standard uncertainty in H, the scale of the meter left out."""

    henry: float
    u: float


@dataclass(frozen=True)
class Way:
    """One way of a sweep, down or back up; its points by rising vacuum."""

    points: tuple[Point, ...]

    def taken_at(self, vacuum_pa: float) -> Point | None:
        """The reading taken at this very vacuum."""
        return next((point for point in self.points if point.at(vacuum_pa)), None)

    def value(self, vacuum_pa: float, meter: Meter) -> Value | None:
        """The inductance there: as read, or on the straight line between neighbours; None beyond the ends.

        Uncertainty by JCGM 100, 5.1.2, of the two readings, their vacua, and of what a curve may bulge between them:
        at most half its second derivative times the distances to both (the remainder of linear interpolation).
        """
        for place, point in enumerate(self.points):
            if point.at(vacuum_pa):
                return Value(point.henry, self._u(place, meter))
        for place, (low, high) in enumerate(pairwise(self.points)):
            if low.vacuum_pa < vacuum_pa < high.vacuum_pa:
                t = (vacuum_pa - low.vacuum_pa) / (high.vacuum_pa - low.vacuum_pa)
                bulge = self._bend(place) * (vacuum_pa - low.vacuum_pa) * (high.vacuum_pa - vacuum_pa)
                u = math.hypot((1 - t) * self._u(place, meter), t * self._u(place + 1, meter), bulge / _ROOT_3)
                return Value((1 - t) * low.henry + t * high.henry, u)
        return None

    def _u(self, place: int, meter: Meter) -> float:
        """Standard uncertainty of one reading, that of its vacuum carried over by the slope there."""
        point = self.points[place]
        steepest = max(abs(self._slope(each)) for each in (place - 1, place))
        return math.hypot(meter.u_step(point), steepest * point.vacuum_step_pa / _ROOT_12)

    def steepest(self, vacuum_pa: float) -> float:
        """The steepest that the curve goes at one vacuum, H per Pa, its sign left out."""
        around = (
            place
            for place, (low, high) in enumerate(pairwise(self.points))
            if low.vacuum_pa <= vacuum_pa <= high.vacuum_pa
        )
        return max((abs(self._slope(place)) for place in around), default=0.0)

    def _slope(self, place: int) -> float:
        """H per Pa between a point and the next; nought beyond the ends."""
        if not 0 <= place < len(self.points) - 1:
            return 0.0
        low, high = self.points[place : place + 2]
        return (high.henry - low.henry) / (high.vacuum_pa - low.vacuum_pa)

    def _bend(self, place: int) -> float:
        """Half the second derivative between a point and the next, H/Pa2: the greater of the two at its ends."""
        bends = [0.0]
        for middle in (place, place + 1):
            if 0 < middle < len(self.points) - 1:
                wide = self.points[middle + 1].vacuum_pa - self.points[middle - 1].vacuum_pa
                bends.append(abs(self._slope(middle) - self._slope(middle - 1)) / wide)
        return max(bends)


@dataclass(frozen=True)
class Sweep:
    """One sweep. The deepest point, where it was read once, stands in both ways; `up` is empty without a way back.

    `frequency_hz`, `ambient_k` and `barometer_pa` are None where they were not noted.
    """

    down: Way
    up: Way
    meter: Meter
    frequency_hz: float | None = None
    ambient_k: float | None = None
    barometer_pa: float | None = None

    def both(self, vacuum_pa: float) -> tuple[Value, Value] | None:
        """The values down and back up at one vacuum, where there are two; the turning point read once is none."""
        turn = self.down.taken_at(vacuum_pa)
        if turn is not None and turn is self.up.taken_at(vacuum_pa):
            return None
        down, up = self.down.value(vacuum_pa, self.meter), self.up.value(vacuum_pa, self.meter)
        return (down, up) if down is not None and up is not None else None
