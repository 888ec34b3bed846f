"""A set's record cut to the surroundings of a plan: a whole country's coast is not asked again and again."""

import attrs
from shapely.geometry.base import BaseGeometry

from planner.world.extent import Extent
from planner.world.layers import LayerRecord
from planner.world.set_outlines import cut_to
from planner.world.set_record import SetRecord


def cut_record(record: SetRecord, extent: Extent) -> SetRecord:
    """Return a set's record as it speaks within an extent.

    Coverage, jurisdiction and the places of refused features lie within it; each is cut once however
    many layers it bounds.
    """
    within = _Cutter(extent)
    jurisdiction = attrs.evolve(record.jurisdiction, area=within(record.jurisdiction.area))

    def cut(layer: LayerRecord) -> LayerRecord:
        return attrs.evolve(layer, coverage=within(layer.coverage), jurisdiction=jurisdiction)

    return attrs.evolve(
        record,
        jurisdiction=jurisdiction,
        layers=tuple(
            attrs.evolve(
                entry,
                record=cut(entry.record),
                quality=attrs.evolve(entry.quality, refused_area=within(entry.quality.refused_area)),
            )
            for entry in record.layers
        ),
        terrain=tuple(
            attrs.evolve(raster, stated=attrs.evolve(raster.stated, record=cut(raster.stated.record)))
            for raster in record.terrain
        ),
    )


class _Cutter:
    def __init__(self, extent: Extent) -> None:
        self._extent = extent
        self._done: dict[int, BaseGeometry] = {}

    def __call__(self, shape: BaseGeometry | None) -> BaseGeometry | None:
        if shape is None:
            return None
        if id(shape) not in self._done:
            self._done[id(shape)] = cut_to(shape, self._extent)
        return self._done[id(shape)]
