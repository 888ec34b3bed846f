"""Chart sets: folders of set.json, charts.gpkg and terrain, each layer with its record."""

from planner.world.store.commit import CHARTS_NAME
from planner.world.store.folders import ChartSets, chart_set_folders
from planner.world.store.reading import (
    MARGIN_M,
    is_charts_file,
    read_chart_set,
    read_charts_alone,
    set_record,
)

__all__ = [
    "CHARTS_NAME",
    "MARGIN_M",
    "ChartSets",
    "chart_set_folders",
    "is_charts_file",
    "read_chart_set",
    "read_charts_alone",
    "set_record",
]
