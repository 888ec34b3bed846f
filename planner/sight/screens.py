"""Buildings and trees of a plan and its charts, as screens that may hide the aircraft."""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.plan.beneath import BeneathItem, BeneathKind
from planner.sight.surfaces import Screen, ScreenKind, Surfaces
from planner.track.drawn import USUAL_HALF_WIDTH_M, drawn_outline
from planner.world.buildings import charted_height_m
from planner.world.drawn_over import DrawnOver
from planner.world.outlines import earth_box, shapes_in_plane
from planner.world.plane_terrain import PlaneTerrain
from planner.world.sites import GroundFeature, GroundKind
from planner.world.terrain import SurfaceKind

PLAUSIBLE_M: Final = {ScreenKind.BUILDING: 20.0, ScreenKind.TREES: 40.0}
"""How high something of unknown height may be [m]: own choice, six storeys and a high tree."""

_DRAWN: Final = {BeneathKind.BUILDING: ScreenKind.BUILDING, BeneathKind.TREES: ScreenKind.TREES}
# Land cover counts as trees where its class says so: words, NLCD 41-43, 52, 90, CORINE 311-313, 324.
_WOODED: Final = re.compile(
    r"\b(wood\w*|forest\w*|trees?|orchard\w*|plantation\w*|conifer\w*|broad-?lea\w*|deciduous|evergreens?"
    r"|mangroves?|timber|jungle|hedge\w*|shrub\w*|scrub\w*|groves?|thicket\w*|4[123]|52|90|31[123]|324)\b",
    re.IGNORECASE,
)
_EDGE_PLACES_A_CELL: Final = 16


@attrs.frozen(eq=False)
class _Upright:
    outline: BaseGeometry
    kind: ScreenKind
    name: str
    height_m: float | None


def surfaces_with_screens(
    ground: PlaneTerrain,
    drawn: Sequence[BeneathItem],
    charted: Sequence[GroundFeature],
    within: tuple[float, float, float, float],
) -> Surfaces:
    """Return the ground with what is drawn and charted on it.

    A surface model holds buildings and trees already: nothing is put on it a second time.
    `within` bounds charts in the plane: west, south, east, north [m]. What is drawn stands for what a
    chart shows in the same place; about it, too, where that is of its kind and name.
    """
    given = [
        _Upright(drawn_outline(item, ground.frame), _DRAWN[item.kind], item.name, item.height_m)
        for item in drawn
        if item.kind in _DRAWN and item.height_m != 0.0
    ]
    uprights = [*given, *_open_charted(given, _charted(charted, ground.frame, within))]
    if ground.terrain.surface is SurfaceKind.SURFACE:
        return Surfaces(ground, left_out=len(uprights))
    screens = [(one.height_m is not None, _screen(one, ground)) for one in uprights]
    return Surfaces(
        ground,
        screens=tuple(screen for known, screen in screens if known and np.isfinite(screen.top_amsl_m)),
        unmeasured=tuple(
            screen for known, screen in screens if not (known and np.isfinite(screen.top_amsl_m))
        ),
    )


def highest_under(ground: PlaneTerrain, outline: BaseGeometry) -> float:
    """Return the highest ground under an outline [m AMSL]; NaN where any of it is not known.

    A bilinear surface is highest at a node or on the outline's own edge; that is asked sixteen times a cell.
    """
    inner_x, inner_y = ground.nodes_within(outline.bounds)
    inside = shapely.intersects_xy(outline, inner_x, inner_y)
    middle = outline.centroid
    step_m = max(ground.cell_m(middle.x, middle.y) / _EDGE_PLACES_A_CELL, 1e-3)
    edge = shapely.get_coordinates(shapely.segmentize(outline.boundary, step_m))
    x_m = np.concatenate([edge[:, 0], inner_x[inside]])
    y_m = np.concatenate([edge[:, 1], inner_y[inside]])
    return float(ground.ground(x_m, y_m).max()) if len(x_m) else float("nan")


def _screen(one: _Upright, ground: PlaneTerrain) -> Screen:
    height_m = PLAUSIBLE_M[one.kind] if one.height_m is None else one.height_m
    top_m = highest_under(ground, one.outline) + height_m
    return Screen(
        one.outline,
        float("inf") if np.isnan(top_m) else top_m,
        height_m if one.kind is ScreenKind.TREES else None,
        one.kind,
        one.name,
    )


def _charted(
    features: Sequence[GroundFeature], frame: LocalFrame, within: tuple[float, float, float, float]
) -> Iterator[_Upright]:
    kinds = [(one, kind) for one in features if (kind := _kind_of(one)) is not None]
    if not kinds:
        return
    shapes = np.array([one.shape for one, _ in kinds], dtype=object)
    near = np.flatnonzero(shapely.intersects(shapes, earth_box(within, frame)))
    for k, shape in zip(near.tolist(), shapes_in_plane(shapes[near], frame), strict=True):
        feature, kind = kinds[k]
        outline = shape if shapely.get_dimensions(shape) == 2 else shapely.buffer(shape, USUAL_HALF_WIDTH_M)
        yield _Upright(outline, kind, feature.name, charted_height_m(feature))


def _kind_of(feature: GroundFeature) -> ScreenKind | None:
    if feature.kind is GroundKind.BUILDING:
        return ScreenKind.BUILDING
    wooded = feature.kind is GroundKind.LAND_COVER and bool(_WOODED.search(feature.name))
    return ScreenKind.TREES if wooded else None


def _same(drawn: _Upright, charted: _Upright) -> bool:
    named = bool(charted.name) and drawn.name.casefold() == charted.name.casefold()
    return named and drawn.kind is charted.kind


def _open_charted(given: Sequence[_Upright], charted: Iterable[_Upright]) -> Iterator[_Upright]:
    over = DrawnOver.of([one.outline for one in given])
    for one in charted:
        rest = over.left_of(one.outline, [other.outline for other in given if _same(other, one)])
        if rest is not None:
            yield attrs.evolve(one, outline=rest)
