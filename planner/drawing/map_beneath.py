"""Who and what is drawn beneath on a map sheet: people, roads and trails, buildings, trees, water."""

import math
from collections.abc import Sequence
from enum import StrEnum
from typing import Final

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.drawing import svg
from planner.drawing.ink import CHART_BLUE, GROUND_EDGE, GROUND_FILL, INK, PAPER, SOFT_INK
from planner.drawing.labels import Label
from planner.drawing.map_sheet import MapSheet
from planner.plan.beneath import BeneathItem, BeneathKind
from planner.plan.model import Plan
from planner.track.drawn import drawn_outline

# What is smaller on the sheet is drawn as a spot of this radius [pt].
_LEAST_RADIUS: Final = 2.6
_LONGEST_LABEL: Final = 26


class Look(StrEnum):
    """How it is drawn, and what the legend calls that."""

    PEOPLE = "people, moving vehicles"
    CREW = "crew"
    WAY = "road or trail"
    BUILDING = "building"
    TREES = "trees"
    WATER = "water"


@attrs.frozen
class _Style:
    stroke: str
    width: float
    dashes: str | None
    fill: str
    opacity: float


_STYLES: Final = {
    Look.PEOPLE: _Style(INK, 1.5, "1.4 1.8", INK, 0.15),
    Look.CREW: _Style(INK, 0.8, "1.4 1.8", PAPER, 0.6),
    Look.WAY: _Style(SOFT_INK, 0.9, None, PAPER, 0.8),
    Look.BUILDING: _Style(INK, 1.1, None, GROUND_EDGE, 0.5),
    Look.TREES: _Style(SOFT_INK, 0.9, "0.8 1.6", GROUND_FILL, 0.6),
    Look.WATER: _Style(CHART_BLUE, 0.8, "5 2", CHART_BLUE, 0.14),
}
_LOOKS: Final = {
    BeneathKind.CREW: Look.CREW,
    BeneathKind.TRAIL: Look.WAY,
    BeneathKind.BUILDING: Look.BUILDING,
    BeneathKind.TREES: Look.TREES,
    BeneathKind.WATER: Look.WATER,
}
_WORDS: Final = {BeneathKind.SPECTATOR_LINE: "spectators"}
_ROAD: Final = {True: "vehicles move", False: "no vehicle moves", None: "vehicles may move"}


def draw_beneath(plan: Plan, sheet: MapSheet) -> tuple[str, tuple[Label, ...]]:
    """Return what is drawn beneath as SVG, people on top, and its labels, people first."""
    order = list(Look)
    items = sorted(plan.beneath, key=lambda item: order.index(look_of(item)))
    drawn, labels = [], []
    for item in items:
        outline = _on_sheet(item, sheet)
        if outline.is_empty:
            continue
        drawn.append(_outline(outline, _STYLES[look_of(item)]))
        spot = outline.representative_point()
        words = svg.shortened(_label(item), 2 * _LONGEST_LABEL)
        short = svg.shortened(_name(item), _LONGEST_LABEL)
        colour = CHART_BLUE if look_of(item) is Look.WATER else INK
        labels.append(
            Label(words, spot.x, spot.y, 9.0, 600, colour, gap=3.0, reach=60.0, home=outline, short=short)
        )
    return "".join(reversed(drawn)), tuple(labels)


def look_of(item: BeneathItem) -> Look:
    """Return how an item is drawn: a road on which vehicles move as people are."""
    if item.kind is BeneathKind.ROAD:
        return Look.PEOPLE if item.moving_vehicles else Look.WAY
    return _LOOKS.get(item.kind, Look.PEOPLE)


def beneath_keys(items: Sequence[BeneathItem]) -> list[tuple[str, str]]:
    """Return a small picture of each look that is used, and what it means, for a legend."""
    used = {look_of(item) for item in items}
    return [(_key(_STYLES[look]), look.value) for look in Look if look in used]


def _key(style: _Style, width: float = 22.0, height: float = 12.0) -> str:
    box = shapely.box(2.0, 2.0, width - 2.0, height - 2.0)
    return svg.document(width, height, _outline(box, style))


def _on_sheet(item: BeneathItem, sheet: MapSheet) -> BaseGeometry:
    outline = shapely.transform(
        drawn_outline(item, sheet.frame), lambda xy: sheet.of_plane(xy[:, 0], xy[:, 1])
    )
    radius = math.sqrt(outline.area / math.pi)
    if radius < _LEAST_RADIUS:
        outline = shapely.buffer(outline, _LEAST_RADIUS - radius)
    return shapely.make_valid(outline).intersection(sheet.frame_box)


def _outline(outline: BaseGeometry, style: _Style) -> str:
    rings = [
        shapely.get_coordinates(ring)
        for part in shapely.get_parts(outline)
        if part.geom_type == "Polygon"
        for ring in (part.exterior, *part.interiors)
    ]
    return svg.element(
        "path",
        d=svg.polylines(rings, closed=True),
        fill=style.fill,
        fill_opacity=style.opacity,
        fill_rule="evenodd",
        stroke=style.stroke,
        stroke_width=style.width,
        stroke_dasharray=style.dashes,
    )


def _name(item: BeneathItem) -> str:
    return item.name.strip() or _WORDS.get(item.kind, item.kind.value)


def _label(item: BeneathItem) -> str:
    told = [_ROAD[item.moving_vehicles]] if item.kind is BeneathKind.ROAD else []
    told += ["closed"] if item.closed_site else []
    told += ["under cover"] if item.under_cover else []
    kind = _WORDS.get(item.kind, item.kind.value)
    told = told if kind in _name(item).lower() else [kind, *told]
    return f"{_name(item)}: {', '.join(told)}" if told else _name(item)
