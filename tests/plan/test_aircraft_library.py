"""The aircraft library's file: what goes in comes out, what is damaged is said in one line."""

import json

import pytest

from planner.errors import PlanFileError
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import (
    Aircraft,
    Battery,
    Lights,
    LinkLoss,
    LinkLossAction,
    Radio,
    RadioUse,
    Readout,
    ReadoutSource,
)
from planner.plan.aircraft_library import read_aircraft, write_aircraft
from planner.plan.performance import MeasuredFlight, Performance

WHOLE = Aircraft(
    "Sparrow 7 (invented)",
    0.92,
    0.46,
    registration="INVENTED-1",
    lights=Lights(True, 4900.0),
    readout=Readout(ReadoutSource.BAROMETER, 3.0),
    link_loss=LinkLoss(LinkLossAction.RETURN_FIXED, 1.5, AboveLaunch(40.0), needs_fix=True),
    battery=Battery("Li-Po", 6, 1300.0, 3.1),
    radios=(Radio(RadioUse.VIDEO, 5800.0, 25.0, True, "4", 8.0, 2.0, -90.0),),
    performance=Performance(hover_w=300.0, measured=MeasuredFlight(390.0, 1100.0)),
)


def test_aircraft_come_back_as_they_were_kept(tmp_path):
    path = tmp_path / "library.json"
    plain = Aircraft("Wren & Co \u00e9 (invented)", 0.2, 0.1)
    write_aircraft((WHOLE, plain), path)
    assert read_aircraft(path) == (WHOLE, plain)
    kept = json.loads(path.read_text("utf-8"))
    assert kept["lowline_aircraft_library"] == 1
    assert kept["aircraft"][0]["take_off_weight_kg"] == 0.92
    assert "lights" not in kept["aircraft"][1]


GOOD = {"name": "A", "take_off_weight_kg": 1.0, "largest_dimension_m": 0.3}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "empty"),
        ("{", "not JSON"),
        ("[]", "holds a list"),
        ("{}", "no aircraft library"),
        ('{"lowline_aircraft_library": true, "aircraft": []}', "no aircraft library"),
        ('{"lowline_aircraft_library": 2, "aircraft": []}', "version 2"),
        ('{"lowline_aircraft_library": 1}', "not a list"),
        ('{"lowline_aircraft_library": 1, "aircraft": {}}', "not a list"),
        ('{"lowline_aircraft_library": 1, "aircraft": [], "more": 1}', "'more'"),
        ('{"lowline_aircraft_library": 1, "aircraft": [7]}', "aircraft[0]"),
        (json.dumps({"lowline_aircraft_library": 1, "aircraft": [GOOD, GOOD]}), "two aircraft"),
        (json.dumps({"lowline_aircraft_library": 1, "aircraft": [{**GOOD, "wings": 2}]}), "wings"),
        (
            json.dumps(
                {"lowline_aircraft_library": 1, "aircraft": [GOOD, {**GOOD, "take_off_weight_kg": -1.0}]}
            ),
            "aircraft[1].take_off_weight_kg",
        ),
        (
            json.dumps({"lowline_aircraft_library": 1, "aircraft": [{**GOOD, "name": 5}]}),
            "aircraft[0].name",
        ),
    ],
)
def test_a_damaged_file_is_one_line_that_says_where(tmp_path, text, told):
    path = tmp_path / "library.json"
    path.write_text(text, "utf-8")
    with pytest.raises(PlanFileError) as refused:
        read_aircraft(path)
    line = refused.value.one_line()
    assert told in line
    assert "\n" not in line
    assert "library.json" in line
