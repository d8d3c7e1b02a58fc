"""A sweep as a curve: inductance against vacuum, down and back up, each value with its uncertainty. Pure.

Values between two points are interpolated linearly. There is no value beyond the ends.
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

    `vacuum` is the vacuum as shown to people.
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
    """A meter: its name (empty if only a specification was noted) and its accuracy."""

    name: str
    spec: MeterSpec
    assumed: bool = False

    def u_step(self, point: Point) -> float:
        """Standard uncertainty in H of the errors that vary with each reading: steps and fixed terms, as rectangles.

        It leaves out the meter's share of the reading, which is the same for all readings of one meter.
        """
        return (self.spec.fixed + self.spec.counts * point.step_h) / _ROOT_3

    def same_as(self, other: Meter) -> bool:
        """Whether both are known to be one meter, by name, ignoring blanks and case."""
        mine, its = ("".join(name.split()).casefold() for name in (self.name, other.name))
        return "" != mine == its

    @property
    def u_share(self) -> float:
        """Relative standard uncertainty of its scale, a rectangle too (JCGM 100, 4.3.7)."""
        return self.spec.share / _ROOT_3


@dataclass(frozen=True)
class Value:
    """An inductance in H with its standard uncertainty in H, without that of the meter's scale."""

    henry: float
    u: float


@dataclass(frozen=True)
class Way:
    """One way of a sweep, down or back up; its points by rising vacuum."""

    points: tuple[Point, ...]

    def taken_at(self, vacuum_pa: float) -> Point | None:
        """The reading at exactly this vacuum; None if there is none."""
        return next((point for point in self.points if point.at(vacuum_pa)), None)

    def value(self, vacuum_pa: float, meter: Meter) -> Value | None:
        """The inductance at a vacuum: as read, or interpolated between neighbours; None beyond the ends.

        The uncertainty (JCGM 100, 5.1.2) comes from the two readings, their vacua, and the curvature between them: at
        most half the second derivative times the distances to both (the remainder of linear interpolation).
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
        """Standard uncertainty of one reading, including that of its vacuum times the slope."""
        point = self.points[place]
        steepest = max(abs(self._slope(each)) for each in (place - 1, place))
        return math.hypot(meter.u_step(point), steepest * point.vacuum_step_pa / _ROOT_12)

    def steepest(self, vacuum_pa: float) -> float:
        """The largest absolute slope of the curve at one vacuum, H per Pa."""
        around = (
            place
            for place, (low, high) in enumerate(pairwise(self.points))
            if low.vacuum_pa <= vacuum_pa <= high.vacuum_pa
        )
        return max((abs(self._slope(place)) for place in around), default=0.0)

    def _slope(self, place: int) -> float:
        """Slope between a point and the next, H per Pa; 0 beyond the ends."""
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
    """One sweep. A deepest point read only once is part of both ways; `up` is empty without a way back.

    `frequency_hz`, `ambient_k` and `barometer_pa` are None where they were not noted.
    """

    down: Way
    up: Way
    meter: Meter
    frequency_hz: float | None = None
    ambient_k: float | None = None
    barometer_pa: float | None = None

    def both(self, vacuum_pa: float) -> tuple[Value, Value] | None:
        """The values down and back up at one vacuum; None if there are not two, as at a turning point read once."""
        turn = self.down.taken_at(vacuum_pa)
        if turn is not None and turn is self.up.taken_at(vacuum_pa):
            return None
        down, up = self.down.value(vacuum_pa, self.meter), self.up.value(vacuum_pa, self.meter)
        return (down, up) if down is not None and up is not None else None
