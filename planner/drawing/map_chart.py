"""What the charts put on a map sheet: airspace, cells, sites, structures, aerodromes, stadiums."""

from collections.abc import Iterator
from enum import IntEnum

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.drawing import svg
from planner.drawing.chart_lines import (
    KIND_WORDS,
    LineStyle,
    limits_words,
    line_style,
    outline_svg,
    volume_words,
)
from planner.drawing.ink import CELL_INK, INK, SOFT_INK
from planner.drawing.labels import Label
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_symbols import aerodrome_mark, stadium_mark, structure_mark
from planner.geo.window import TimeWindow
from planner.permission.entries import is_active
from planner.units import ft_from_m
from planner.wording import limit_ft
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceKind, AirspaceVolume
from planner.world.structures import Structure
from planner.world.world import World

_SITE = LineStyle(SOFT_INK, 1.0, "1 2.5")
_CLOSED_LAND = LineStyle(SOFT_INK, 1.0, "8 3 1.5 3")
_LONGEST_LABEL = 34
_QUIET = frozenset({AirspaceKind.CLASS_E_OTHER, AirspaceKind.OTHER})


@attrs.frozen
class ChartDrawing:
    """The lines and marks of the charts, and their labels, most telling first."""

    lines: str
    marks: str
    closed_labels: tuple[Label, ...]
    labels: tuple[Label, ...]
    cell_labels: tuple[Label, ...]
    mark_points: tuple[tuple[float, float], ...]


class _Rank(IntEnum):
    """What must be named first, and is drawn on top."""

    CLOSED = 0
    ASK = 1
    QUIET = 2


@attrs.frozen
class _Outline:
    """One outline on the sheet."""

    rank: _Rank
    drawn: str
    label: Label


def draw_chart(world: World, sheet: MapSheet, window: TimeWindow | None = None) -> ChartDrawing:
    """Return what the charts show on that sheet; features come in the order of their keys.

    Airspace that is plainly not active in the window is left out.
    """
    outlines = sorted(_outlines(world, sheet, window), key=lambda outline: outline.rank)
    cell_lines, cell_labels = _cells(world, sheet)
    marks, points, mark_labels = _marks(world, sheet)
    return ChartDrawing(
        lines=cell_lines + "".join(outline.drawn for outline in reversed(outlines)),
        marks=marks,
        closed_labels=tuple(outline.label for outline in outlines if outline.rank is _Rank.CLOSED),
        labels=(*mark_labels, *(outline.label for outline in outlines if outline.rank is not _Rank.CLOSED)),
        cell_labels=tuple(cell_labels),
        mark_points=tuple(points),
    )


def _outlines(world: World, sheet: MapSheet, window: TimeWindow | None) -> Iterator[_Outline]:
    active = [volume for volume in world.airspace if is_active(volume, window)]
    for volume in sorted(active, key=lambda volume: volume.key):
        words = (_volume_label(volume), KIND_WORDS[volume.kind])
        yield from _outline(volume.outline, line_style(volume.kind), words, _rank(volume.kind), sheet)
    for site in sorted(world.fixed_sites, key=lambda site: site.key):
        yield from _outline(site.outline, _SITE, (f"{site.name} (fixed site)", ""), _Rank.ASK, sheet)
    for land in sorted(world.closed_lands, key=lambda land: land.key):
        words = (f"{land.name} (no launching)", "no launching")
        yield from _outline(land.outline, _CLOSED_LAND, words, _Rank.ASK, sheet)


def _rank(kind: AirspaceKind) -> _Rank:
    if kind in FORBIDDEN_WHILE_ACTIVE:
        return _Rank.CLOSED
    return _Rank.QUIET if kind in _QUIET else _Rank.ASK


def _volume_label(volume: AirspaceVolume) -> str:
    name = svg.shortened(volume.name, 32)
    if KIND_WORDS[volume.kind].lower() in volume.name.lower():
        return f"{name} · {limits_words(volume)}"
    return f"{name} · {KIND_WORDS[volume.kind]} · {limits_words(volume)}" if name else volume_words(volume)


def _outline(
    outline: BaseGeometry, style: LineStyle, words: tuple[str, str], rank: _Rank, sheet: MapSheet
) -> Iterator[_Outline]:
    on_sheet = shapely.make_valid(sheet.outline(outline))
    visible = on_sheet.intersection(sheet.frame_box)
    if visible.is_empty:
        return
    anchor = visible.representative_point()
    full, short = (svg.shortened(text, 2 * _LONGEST_LABEL) for text in words)
    label = Label(
        full, anchor.x, anchor.y, 9.0, 600, style.colour, gap=0.0, reach=90.0, home=visible, short=short
    )
    yield _Outline(rank, outline_svg(on_sheet, style, sheet), label)


def _cells(world: World, sheet: MapSheet) -> tuple[str, list[Label]]:
    runs, labels = [], []
    for cell in sorted(world.cells, key=lambda cell: cell.key):
        on_sheet = sheet.outline(cell.outline)
        visible = on_sheet.intersection(sheet.frame_box)
        if visible.is_empty:
            continue
        runs += [part.exterior.coords for part in shapely.get_parts(on_sheet) if part.geom_type == "Polygon"]
        value = "?" if cell.ceiling_agl_m is None else f"{ft_from_m(cell.ceiling_agl_m):.0f}"
        middle = visible.centroid
        if visible.area > 250.0:
            labels.append(Label(value, middle.x, middle.y, 9.0, 500, CELL_INK, gap=0.0, reach=4.0))
    grid = svg.polylines(runs)
    drawn = svg.element("path", d=grid, fill="none", stroke=CELL_INK, stroke_width=0.5) if runs else ""
    return drawn, labels


def _marks(world: World, sheet: MapSheet) -> tuple[str, list[tuple[float, float]], list[Label]]:
    drawn, points, labels = [], [], []
    for structure in sorted(world.structures, key=lambda structure: structure.key):
        at = sheet.of_place(structure.place)
        if structure.dismantled or not sheet.shows(at, 6):
            continue
        drawn.append(structure_mark(*at))
        points.append(at)
        labels.append(Label(_structure_words(structure), *at, 9.0, 600, INK, gap=8.0, reach=24.0))
    for aerodrome in sorted(world.aerodromes, key=lambda aerodrome: aerodrome.ident):
        at = sheet.of_place(aerodrome.place)
        if sheet.shows(at, 6):
            drawn.append(aerodrome_mark(*at))
            points.append(at)
            name = svg.shortened(aerodrome.name or aerodrome.ident, 24)
            labels.append(Label(name, *at, 9.0, 600, SOFT_INK, gap=8.0, reach=24.0))
    for stadium in sorted(world.stadiums, key=lambda stadium: (stadium.name, repr(stadium.place))):
        at = sheet.of_place(stadium.place)
        if sheet.shows(at, 6):
            drawn.append(stadium_mark(*at))
            points.append(at)
            words = f"{svg.shortened(stadium.name, 20)} (stadium)".strip()
            labels.append(Label(words, *at, 9.0, 600, INK, gap=8.0, reach=24.0))
    return "".join(drawn), points, labels


def _structure_words(structure: Structure) -> str:
    name = svg.shortened(structure.name or structure.kind.lower(), 20)
    if structure.top_amsl_m is None:
        return name
    return f"{name} {limit_ft(structure.top_amsl_m)} AMSL"
