"""Where it is known which airspace there is: where every layer that may close a place is current."""

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.rules.data_status import UNITED_STATES
from planner.world.currency import LayerState, records_of, speaks_over, state_of
from planner.world.layers import LayerName, LayerRecord

_EVERYWHERE = (LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE, LayerName.SECURITY)
_WHERE_PUBLISHED = (LayerName.UAS_ZONES,)
CLOSING_LAYERS = (*_EVERYWHERE, *_WHERE_PUBLISHED)


def known_airspace(records: Sequence[LayerRecord], window: TimeWindow | None) -> BaseGeometry:
    """Return where all layers of airspace are current (lon/lat), empty where one is not.

    The facility map is left out: it says what can be asked for, not what is allowed.
    """
    known: BaseGeometry | None = None
    for name in CLOSING_LAYERS:
        of_layer = records_of(records, name)
        if not of_layer and name in _WHERE_PUBLISHED:
            continue
        there = speaks_over(of_layer, window, codes=UNITED_STATES)
        known = there if known is None else shapely.intersection(known, there)
    assert known is not None
    return known


def what_is_not_known_at(
    records: Sequence[LayerRecord], window: TimeWindow | None, place: Place
) -> frozenset[LayerName]:
    """Return the layers that would have to say which airspace is at a place, and do not."""
    there = shapely.Point(place.lon_deg, place.lat_deg)
    lacking = set()
    for name in CLOSING_LAYERS:
        of_layer = records_of(records, name)
        state, _ = state_of(of_layer, there, window, needs_dates=True, codes=UNITED_STATES)
        published = bool(of_layer) or name not in _WHERE_PUBLISHED
        if published and state is not LayerState.OK:
            lacking.add(name)
    return frozenset(lacking)
