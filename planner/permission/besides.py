"""What is flown beside what is drawn, and needs the same permission."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.permission.at_edge import at_heights_of_edge, counts_from_ground, level_beside, nearest_edge
from planner.permission.cells import flight_lines
from planner.permission.entries import level
from planner.permission.need import Rise
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.track.way_samples import WaySamples

BESIDE_M: Final = 20.0
"""Own choice: what hand, satellite fix and outline may be off together."""


@attrs.frozen(eq=False)
class Besides:
    """Where a flight may come beside its path and area, in the plane [m].

    `on_lost_link` is whether ways on lost link are among it. `samples` are places of it where only an agency
    gives leave: that it is flown there so high is no need of its own, but has to be asked for. `higher` are
    places where the path is flown higher than drawn, since it falls faster than the aircraft sinks.
    `over_limit_m` is by column of airspace that only an agency opens how far above the limit on height, which
    no agency lifts, what is flown on lost link comes there [m], and what is flown higher than drawn.
    """

    shape: BaseGeometry = attrs.field(factory=lambda: shapely.GeometryCollection([]))
    on_lost_link: bool = False
    samples: tuple[WaySamples, ...] = ()
    higher: tuple[WaySamples, ...] = ()
    over_limit_m: Mapping[Rise, Mapping[int, float]] = attrs.field(factory=dict)

    def over_limit(self, columns: Iterable[int]) -> tuple[float, Rise]:
        """Return how far above that limit it comes in some airspace at the most [m], and why."""
        there = set(columns)
        found = [
            (over_m, rise)
            for rise, by_column in self.over_limit_m.items()
            for column, over_m in by_column.items()
            if column in there
        ]
        return max(found, default=(0.0, Rise.ON_LOST_LINK))

    def within(self, outline: BaseGeometry) -> BaseGeometry:
        """Return the part of it inside an airspace's outline."""
        return shapely.intersection(self.shape, outline)


def close_beside(
    columns: Iterable[int], drawn: Iterable[Track | AreaSamples], mapped: Mapped
) -> Iterator[BaseGeometry]:
    """Yield what of a flight lies in airspace or close beside it, at heights of both, in the plane."""
    flown = list(drawn)
    for column in columns:
        outline = mapped.outlines.polygon(column)
        for samples in flown:
            shape = _at_its_heights(samples, mapped, column)
            if shape.is_empty:
                continue
            west, south, east, north = np.add(shape.bounds, 2 * BESIDE_M * np.array([-1, -1, 1, 1]))
            near = shapely.clip_by_rect(outline, west, south, east, north)
            yield shapely.intersection(shape, shapely.buffer(near, BESIDE_M))


def _at_its_heights(samples: Track | AreaSamples, mapped: Mapped, column: int) -> BaseGeometry:
    """Return what of a flight may be at the heights of airspace, over the ground at its edge."""
    volume, outline = mapped.airspace[column], mapped.outlines.polygon(column)
    if isinstance(samples, Track):
        there = level_beside(mapped, samples, volume, outline, BESIDE_M)
        return flight_lines(samples.x_m, samples.y_m, there)
    reached = bool(level(volume, samples).any())
    if not reached and counts_from_ground(volume):
        places = np.asarray(shapely.points(np.column_stack([samples.x_m, samples.y_m])))
        near = np.asarray(shapely.dwithin(places, outline, BESIDE_M)) & ~np.isnan(samples.planned_amsl_m)
        heights = samples.planned_amsl_m[near], samples.ground_amsl_m[near]
        edge = nearest_edge(outline, places[near])
        reached = bool(at_heights_of_edge(mapped, volume, edge, *heights).any())
    return samples.footprint if reached else shapely.Polygon()
