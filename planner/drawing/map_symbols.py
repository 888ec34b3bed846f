"""Marks of a map: launch, landing, people, structures, aerodromes, arrows, scale, north."""

import itertools
import math

import numpy as np
from numpy.typing import NDArray

from planner.drawing import svg
from planner.drawing.ink import CHART_BLUE, INK, PAPER
from planner.units import FOOT_M

Floats = NDArray[np.float64]

_NICE = (1, 2, 5)
_SHORTEST_WITH_ARROW = 16.0
_NORTH_LETTERS = svg.Letters(9.0, 700, INK, 2.2)


def launch_mark(x: float, y: float) -> str:
    """Return a triangle about its place, wide enough to show behind whoever stands there."""
    corners = [(x - 11, y + 7), (x + 11, y + 7), (x, y - 12)]
    return _filled(corners, PAPER, INK, 1.6)


def landing_mark(x: float, y: float) -> str:
    """Return a square with a cross."""
    square = _filled([(x - 5, y - 5), (x + 5, y - 5), (x + 5, y + 5), (x - 5, y + 5)], PAPER, INK, 1.6)
    cross = svg.polylines([[(x - 5, y - 5), (x + 5, y + 5)], [(x - 5, y + 5), (x + 5, y - 5)]])
    return square + svg.element("path", d=cross, stroke=INK, stroke_width=1.0)


def return_mark(x: float, y: float) -> str:
    """Return a pentagon with an arrow back, as on the desk's map: where it returns to by itself."""
    corners = [(0.0, -7.0), (6.7, -2.1), (4.2, 6.0), (-4.2, 6.0), (-6.7, -2.1)]
    pentagon = _filled([(x + east, y + south) for east, south in corners], PAPER, INK, 1.6)
    arrow = svg.polylines(
        [
            [(x + 2.8, y + 0.7), (x - 2.8, y + 0.7)],
            [(x - 0.7, y - 1.4), (x - 2.8, y + 0.7), (x - 0.7, y + 2.8)],
        ]
    )
    return pentagon + svg.element("path", d=arrow, fill="none", stroke=INK, stroke_width=1.0)


def bail_out_mark(x: float, y: float) -> str:
    """Return a square with an arrow that leads out of it, as on the desk's map."""
    square = _filled([(x - 5, y - 5), (x + 5, y - 5), (x + 5, y + 5), (x - 5, y + 5)], PAPER, INK, 1.6)
    arrow = svg.polylines(
        [[(x - 2.6, y + 2.6), (x + 2.6, y - 2.6)], [(x - 1, y - 2.6), (x + 2.6, y - 2.6), (x + 2.6, y + 1)]]
    )
    return square + svg.element("path", d=arrow, stroke=INK, stroke_width=1.2, fill="none")


def observer_mark(x: float, y: float) -> str:
    """Return the ring with an open middle that stands for an observer."""
    ring = svg.element("circle", cx=x, cy=y, r=5.2, fill=INK, stroke=PAPER, stroke_width=1.6)
    return ring + svg.element("circle", cx=x, cy=y, r=2.0, fill=PAPER)


def person_mark(x: float, y: float) -> str:
    """Return the dot that stands for anybody else."""
    return svg.element("circle", cx=x, cy=y, r=3.4, fill=INK, stroke=PAPER, stroke_width=1.4)


def point_mark(x: float, y: float) -> str:
    """Return the small ring of a point of the path."""
    return svg.element("circle", cx=x, cy=y, r=2.1, fill=PAPER, stroke=INK, stroke_width=1.1)


def structure_mark(x: float, y: float) -> str:
    """Return the peak with a dot by which charts show an obstacle."""
    peak = svg.polyline([(x - 4, y + 1), (x, y - 10), (x + 4, y + 1)])
    drawn = svg.element("path", d=peak, fill="none", stroke=PAPER, stroke_width=3.4)
    drawn += svg.element("path", d=peak, fill="none", stroke=INK, stroke_width=1.4)
    return drawn + svg.element("circle", cx=x, cy=y, r=1.4, fill=INK)


def aerodrome_mark(x: float, y: float) -> str:
    """Return a ring with a runway across."""
    ring = svg.element("circle", cx=x, cy=y, r=5.0, fill=PAPER, stroke=CHART_BLUE, stroke_width=1.4)
    runway = svg.polyline([(x - 3.2, y + 2.2), (x + 3.2, y - 2.2)])
    return ring + svg.element("path", d=runway, stroke=CHART_BLUE, stroke_width=2.0)


def stadium_mark(x: float, y: float) -> str:
    """Return an oval with a field in it."""
    oval = svg.element("ellipse", cx=x, cy=y, rx=7.0, ry=4.8, fill=PAPER, stroke=INK, stroke_width=1.4)
    corners = [(x - 2.6, y - 1.5), (x + 2.6, y - 1.5), (x + 2.6, y + 1.5), (x - 2.6, y + 1.5)]
    return oval + _filled(corners, PAPER, INK, 0.9)


def arrows_along(points: Floats, spacing: float) -> str:
    """Return arrowheads in the middle of legs of a run of points, at least `spacing` apart."""
    drawn, since_last = [], spacing
    for start, end in itertools.pairwise(points):
        length = float(np.hypot(*(end - start)))
        if length >= _SHORTEST_WITH_ARROW and since_last + length / 2 >= spacing:
            drawn.append(_arrow(start + (end - start) / 2, (end - start) / length))
            since_last = length / 2
        else:
            since_last += length
    return "".join(drawn)


def _arrow(middle: Floats, ahead: Floats) -> str:
    aside = np.array([-ahead[1], ahead[0]])
    tip, back = middle + 5.5 * ahead, middle - 4.0 * ahead
    corners = [tip, back + 4.2 * aside, middle - 2.0 * ahead, back - 4.2 * aside]
    return _filled(corners, INK, PAPER, 0.8)


def scale_bar(x: float, y: float, points_per_m: float, longest: float) -> str:
    """Return two bars, metres above feet, whose left ends meet at x, y."""
    drawn = []
    for unit_m, unit, up in ((1.0, "m", True), (FOOT_M, "ft", False)):
        length = _nice_below(longest / points_per_m / unit_m)
        wide = length * unit_m * points_per_m
        tick = -4.0 if up else 4.0
        run = [(x, y + tick), (x, y), (x + wide, y), (x + wide, y + tick)]
        data = svg.polyline(run)
        drawn.append(svg.element("path", d=data, fill="none", stroke=PAPER, stroke_width=3.6))
        drawn.append(svg.element("path", d=data, fill="none", stroke=INK, stroke_width=1.2))
        letters = svg.Letters(9.5, 600, INK, 2.2)
        drawn.append(svg.words(f"{length:,.0f} {unit}", x + wide + 4, y - 1.5 if up else y + 8.5, letters))
    return "".join(drawn)


def norths(x: float, y: float, up_deg: float, declination_deg: float | None = None, words: str = "") -> str:
    """Return arrows about x, y to true north and, where it is known, to magnetic north.

    `up_deg` is the true bearing that is up; the words tell the declination.
    """
    drawn = ""
    if declination_deg is not None:
        # Both tips lie close together: its letter stands aside, away from true north.
        aside = 9.0 if declination_deg >= 0 else -9.0
        drawn += _needle((x, y), declination_deg - up_deg, "2.2 1.6") + _north_letter(
            (x, y), declination_deg - up_deg, "M", 9.0, aside
        )
    drawn += _needle((x, y), -up_deg, None) + _north_letter((x, y), -up_deg, "N", 18.5, 0.0)
    if words:
        drawn += svg.words(f"M {words}", x, y + 33.0, _NORTH_LETTERS, "middle")
    return drawn


def _needle(middle: tuple[float, float], turned_deg: float, dashes: str | None) -> str:
    """Return an arrow through a point, so many degrees clockwise from up."""
    ahead, aside = _along(turned_deg)
    at, long = np.array(middle), 0.0 if dashes else 2.0
    shaft = svg.polyline([at - 11 * ahead, at + 9 * ahead])
    drawn = svg.element("path", d=shaft, stroke=PAPER, stroke_width=4.4)
    drawn += svg.element("path", d=shaft, stroke=INK, stroke_width=1.2, stroke_dasharray=dashes)
    tip, back = at + (11 + long) * ahead, at + 5 * ahead
    head = [tip, back + 3.2 * aside, back - 3.2 * aside]
    return drawn + _filled(head, PAPER if dashes else INK, INK if dashes else PAPER, 0.8)


def _north_letter(
    middle: tuple[float, float], turned_deg: float, letter: str, off: float, beside: float
) -> str:
    ahead, aside = _along(turned_deg)
    x, y = np.array(middle) + off * ahead + beside * aside
    return svg.words(letter, float(x), float(y) + 3.2, _NORTH_LETTERS, "middle")


def _along(turned_deg: float) -> tuple[Floats, Floats]:
    """Return unit vectors on paper ahead and to the right, so many degrees clockwise from up."""
    turned = math.radians(turned_deg)
    ahead = np.array([math.sin(turned), -math.cos(turned)])
    return ahead, np.array([-ahead[1], ahead[0]])


def _filled(corners: object, fill: str, stroke: str, width: float) -> str:
    data = svg.polyline(np.asarray(corners, dtype=float), closed=True)
    return svg.element("path", d=data, fill=fill, stroke=stroke, stroke_width=width, stroke_linejoin="round")


def _nice_below(most: float) -> float:
    power = 10.0 ** math.floor(math.log10(most))
    return max(nice for nice in (step * power for step in _NICE) if nice <= most)
