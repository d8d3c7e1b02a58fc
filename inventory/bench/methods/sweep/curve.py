"""A measured curve, such as inductance against vacuum, each value with its uncertainty. Pure.

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
_ABSOLUTE = 1e-6
_RELATIVE = 1e-9


@dataclass(frozen=True)
class Point:
    """One reading: where on the curve, in SI, with one step of that; its value with one step of the meter.

    `shown` is the place on the curve as shown to people. `spread` is the standard uncertainty from repeated readings,
    with its degrees of freedom.
    """

    place: float
    place_step: float
    value: float
    step: float
    shown: str
    spread: float = 0.0
    freedom: float = math.inf

    def at(self, place: float) -> bool:
        """Whether it was taken at this place."""
        return math.isclose(self.place, place, rel_tol=_RELATIVE, abs_tol=_ABSOLUTE)


@dataclass(frozen=True)
class Meter:
    """A meter: its name (empty if only a specification was noted) and its accuracy."""

    name: str
    spec: MeterSpec
    assumed: bool = False

    def u_step(self, point: Point) -> float:
        """Standard uncertainty of the errors that vary with each reading: steps and fixed terms, as rectangles.

        It leaves out the meter's share of the reading, which is the same for all readings of one meter.
        """
        return (self.spec.fixed + self.spec.counts * point.step) / _ROOT_3

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
    """A value with its standard uncertainty, without that of the meter's scale, both in SI.

    `spread` is the part of `u` that comes from repeated readings, `freedom` its degrees of freedom.
    """

    value: float
    u: float
    spread: float = 0.0
    freedom: float = math.inf


@dataclass(frozen=True)
class Way:
    """One way along a curve; its points from the lowest place up."""

    points: tuple[Point, ...]

    def taken_at(self, place: float) -> Point | None:
        """The reading at exactly this place; None if there is none."""
        return next((point for point in self.points if point.at(place)), None)

    def value(self, place: float, meter: Meter) -> Value | None:
        """The value at a place: as read, or interpolated between neighbours; None beyond the ends.

        The uncertainty (JCGM 100, 5.1.2) comes from the two readings, their places, and the curvature between them: at
        most half the second derivative times the distances to both (the remainder of linear interpolation).
        """
        for index, point in enumerate(self.points):
            if point.at(place):
                return Value(point.value, self._u(index, meter), point.spread, point.freedom)
        for index, (low, high) in enumerate(pairwise(self.points)):
            if low.place < place < high.place:
                t = (place - low.place) / (high.place - low.place)
                bulge = self._bend(index) * (place - low.place) * (high.place - place)
                u = math.hypot((1 - t) * self._u(index, meter), t * self._u(index + 1, meter), bulge / _ROOT_3)
                spread = math.hypot((1 - t) * low.spread, t * high.spread)
                return Value((1 - t) * low.value + t * high.value, u, spread, min(low.freedom, high.freedom))
        return None

    def _u(self, index: int, meter: Meter) -> float:
        """Standard uncertainty of one reading, including that of its place times the slope."""
        point = self.points[index]
        steepest = max(abs(self._slope(each)) for each in (index - 1, index))
        return math.hypot(meter.u_step(point), steepest * point.place_step / _ROOT_12, point.spread)

    def steepest(self, place: float) -> float:
        """The largest absolute slope of the curve at one place."""
        around = (index for index, (low, high) in enumerate(pairwise(self.points)) if low.place <= place <= high.place)
        return max((abs(self._slope(index)) for index in around), default=0.0)

    def _slope(self, index: int) -> float:
        """Slope between a point and the next; 0 beyond the ends."""
        if not 0 <= index < len(self.points) - 1:
            return 0.0
        low, high = self.points[index : index + 2]
        return (high.value - low.value) / (high.place - low.place)

    def _bend(self, index: int) -> float:
        """Half the second derivative between a point and the next: the greater of the two at its ends."""
        bends = [0.0]
        for middle in (index, index + 1):
            if 0 < middle < len(self.points) - 1:
                wide = self.points[middle + 1].place - self.points[middle - 1].place
                bends.append(abs(self._slope(middle) - self._slope(middle - 1)) / wide)
        return max(bends)


@dataclass(frozen=True)
class Sweep:
    """One sweep: inductance in H against vacuum in Pa, down and back up.

    A deepest point read only once is part of both ways; `up` is empty without a way back. `frequency_hz`, `ambient_k`
    and `barometer_pa` are None where they were not noted.
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
