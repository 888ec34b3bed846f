"""Where it is known which airspace there is: where every layer that may close a place is current."""

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.window import TimeWindow
from planner.rules.data_status import UNITED_STATES
from planner.world.currency import records_of, speaks_over
from planner.world.layers import LayerName, LayerRecord

_EVERYWHERE = (LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE, LayerName.SECURITY)
_WHERE_PUBLISHED = (LayerName.UAS_ZONES,)


def known_airspace(records: Sequence[LayerRecord], window: TimeWindow | None) -> BaseGeometry:
    """Return where all layers of airspace are current (lon/lat), empty where one is not.

    The facility map is left out: it says what can be asked for, not what is allowed.
    """
    known: BaseGeometry | None = None
    for name in (*_EVERYWHERE, *_WHERE_PUBLISHED):
        of_layer = records_of(records, name)
        if not of_layer and name in _WHERE_PUBLISHED:
            continue
        there = speaks_over(of_layer, window, codes=UNITED_STATES)
        known = there if known is None else shapely.intersection(known, there)
    assert known is not None
    return known
