"""Samples of the ways that are not drawn, for the question whose airspace they lead through."""

from collections.abc import Callable, Sequence

import attrs
import numpy as np
import shapely

from planner.permission.besides import BESIDE_M
from planner.rules.case import Case
from planner.rules.undrawn import UndrawnWay, ways_not_drawn
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples, sample_way
from planner.world.airspace import NEEDS_AUTHORIZATION, AirspaceVolume


def wants_authorization(volume: AirspaceVolume) -> bool:
    """Whether nobody flies in it without an authorization."""
    return volume.kind in NEEDS_AUTHORIZATION


def undrawn_samples(
    case: Case, wanted: Callable[[AirspaceVolume], bool] = wants_authorization
) -> tuple[WaySamples, ...]:
    """Return samples of each way that is not drawn and meets an outline of some airspace.

    They lie in these outlines, their edges among them, and where the way comes close beside them; heights are
    asked of them later.
    """
    mapped = case.mapped
    if mapped is None or not any(map(wanted, mapped.airspace.values())):
        return ()
    found = []
    for way in ways_not_drawn(case, mapped):
        near = map(int, mapped.outlines.columns_near(np.array(way.line.bounds)))
        columns = [column for column in near if column in mapped.airspace and wanted(mapped.airspace[column])]
        if not columns:
            continue
        samples = _straight_up(mapped, way) if way.is_column else _along(mapped, way, columns)
        if samples is not None:
            found.append(samples)
    return tuple(found)


def _straight_up(mapped: Mapped, way: UndrawnWay) -> WaySamples:
    places = np.asarray(way.line.coords)[:, :2]
    ground_m = mapped.ground.ground(*places.T) if mapped.ground else np.full(len(places), np.nan)
    samples = sample_way(mapped, places, np.full(len(places), way.planned_amsl_m[-1]), ground_m)
    # GEOS loses lines of no length.
    return attrs.evolve(samples, footprint=shapely.MultiPoint(places))


def _along(mapped: Mapped, way: UndrawnWay, columns: Sequence[int]) -> WaySamples | None:
    met = [shapely.intersection(mapped.outlines.polygon(column), way.line) for column in columns]
    shares = [way.shares_on(one) for one in met if not one.is_empty]
    if not shares:
        return None
    beside = BESIDE_M / way.line.length
    ends = [np.clip([one.min() - beside, one.max() + beside], 0.0, 1.0) for one in shares]
    at = np.unique(np.concatenate([*shares, *ends]))
    samples = sample_way(mapped, way.places(at), way.height_amsl_m(at))
    return attrs.evolve(samples, footprint=way.line)
