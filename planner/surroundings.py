"""The world around one plan: from its chart sets, or from the files given in their place."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from planner.errors import ChartError
from planner.plan.model import Plan
from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.merge import merged
from planner.world.readers.packaged_aerodromes import EDITION, all_aerodromes
from planner.world.readers.publisher_file import read_publisher_file
from planner.world.readers.terrain import read_terrain
from planner.world.store import (
    MARGIN_M,
    ChartSets,
    chart_set_folders,
    is_charts_file,
    read_chart_set,
    read_charts_alone,
)
from planner.world.terrain_choice import with_one_terrain
from planner.world.world import World

__all__ = ["ChartSets", "chart_set_folders", "surroundings"]


def surroundings(
    plan: Plan,
    chart_paths: Sequence[Path] | None = None,
    terrain_path: Path | None = None,
    *,
    known_sets: Mapping[str, Path],
) -> World:
    """Return the world around a plan.

    Parameters
    ----------
    plan : Plan
        Its places say where, its `chart_sets` which sets.
    chart_paths : sequence of Path, optional
        Chart sets' folders, GeoPackages or publishers' files that replace the plan's sets.
    terrain_path : Path, optional
        A raster that replaces the terrain of all sets.
    known_sets : mapping of str to Path
        The folders of the chart sets at hand, by id (`chart_set_folders`).

    Raises
    ------
    ChartError
        If a path that was given can't be read. A set of the plan's own that
        is missing or can't be read is a damaged record of every layer instead.
    """
    tight = Extent.around(plan.places())
    if chart_paths is None:
        parts = [_own_set(name, known_sets, tight, terrain_path is None) for name in plan.chart_sets]
    else:
        parts = [_given(path, tight, terrain_path is None) for path in chart_paths]
    if terrain_path is not None:
        terrain, record = read_terrain(terrain_path, None, tight)
        parts.append(World(terrain=terrain, layers=(record,)))
    world = merged(with_one_terrain(parts, tight))
    listed = any(record.name is LayerName.AERODROMES and not record.damage for record in world.layers)
    if world.invented or listed or tight is None:
        return world
    return merged([world, _package_aerodromes(tight.grown(MARGIN_M))])


def _own_set(name: str, known_sets: Mapping[str, Path], tight: Extent | None, with_terrain: bool) -> World:
    folder = known_sets.get(name)
    if folder is None:
        trouble = known_sets.trouble_with(name) if isinstance(known_sets, ChartSets) else ""
        return _set_without_data(name, trouble or f"the chart set {name!r} is not at hand")
    try:
        return read_chart_set(folder, tight, with_terrain=with_terrain)
    except ChartError as error:
        return _set_without_data(name, f"the chart set {name!r} can't be read: {error.one_line()}")


def _given(path: Path, tight: Extent | None, with_terrain: bool) -> World:
    if path.is_dir():
        return read_chart_set(path, tight, with_terrain=with_terrain)
    loaded = tight.grown(MARGIN_M) if tight else None
    return read_charts_alone(path, loaded) if is_charts_file(path) else read_publisher_file(path, loaded)


def _set_without_data(name: str, why: str) -> World:
    return World(layers=tuple(LayerRecord(layer, "", "", chart_set=name, damage=why) for layer in LayerName))


def _package_aerodromes(extent: Extent) -> World:
    found = tuple(field for field in all_aerodromes() if extent.holds(field.place))
    record = LayerRecord(
        LayerName.AERODROMES,
        "airportsdata package",
        f"edition {EDITION}, advisory",
        features=len(found),
    )
    return World(aerodromes=found, layers=(record,))
