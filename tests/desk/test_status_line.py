"""The line at the bottom: by which data the answer was made, what can't be relied on first."""

from types import SimpleNamespace

from planner.desk.status_line import data_line
from planner.rules.data_status import DataStatus
from planner.rules.unknowns import Weight
from planner.world.currency import LayerState
from planner.world.layers import LayerName, LayerRecord


def status(layer, state, chart_set="mine"):
    record = None if state is LayerState.MISSING else LayerRecord(layer, "", "", chart_set=chart_set)
    return DataStatus(layer, state, record, Weight.RESTRICTING)


def test_what_is_missing_or_doubtful_comes_before_what_is_relied_on():
    """The end of the line is cut where there is little room, and while a message shows."""
    answer = SimpleNamespace(
        data=[
            status(LayerName.CLASS_AIRSPACE, LayerState.OK),
            status(LayerName.TERRAIN, LayerState.EXPIRED),
            status(LayerName.FACILITY_MAP, LayerState.OK),
            status(LayerName.SECURITY, LayerState.MISSING),
        ]
    )
    words = data_line(answer).split("     ")
    assert words == [
        "By mine",
        "Security: not given",
        "Terrain no date (expired)",
        "Airspace no date",
        "Cells no date",
    ]
