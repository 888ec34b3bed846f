"""What the loss of the link does, in the JSON of a check: by hand, and against what the findings say.

Climb, way and landing by kinematics (computed). Which arrays there are is our own contract (the schema).
"""

import json
from pathlib import Path

import attrs
import jsonschema
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.briefing.loss_json import LOSS_KEYS
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from tests.worlds import GROUND_M, HERE, plan, points, world

SCHEMA = json.loads((Path(__file__).parents[2] / "resources" / "check.schema.json").read_text("utf-8"))


def written(action, height_m=None):
    flight = plan(path=points([(0, 0, 30.0), (300, 0, 30.0)]))
    loss = LinkLoss(
        action, 0.0, None if height_m is None else AboveLaunch(height_m), True, True, 10.0, 3.0, 2.0
    )
    found = assess(attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss)), world())
    told = check_json(found)
    jsonschema.validate(told, SCHEMA)
    return found.track, told["flight"]


def test_a_return_is_told_from_each_sample():
    """Lost 300 m out it climbs 20 m in 6.7 s, flies 30 s and lands 50 m in 25 s."""
    track, told = written(LinkLossAction.RETURN_FIXED, 50.0)
    assert all(len(told[key]) == len(track) for key in LOSS_KEYS)
    assert told["link_loss_s"][-1] == pytest.approx(20 / 3 + 300 / 10 + 50 / 2, abs=0.1)
    assert told["link_loss_highest_amsl_m"] == pytest.approx([GROUND_M + 50.0] * len(track), abs=0.01)
    assert told["link_loss_clearance_m"][-1] == pytest.approx(30.0, abs=0.05)
    assert told["link_loss_end_lon"] == pytest.approx([HERE.lon_deg] * len(track), abs=1e-6)
    assert told["link_loss_end_lat"] == pytest.approx([HERE.lat_deg] * len(track), abs=1e-6)


def test_what_lands_ends_where_it_is():
    track, told = written(LinkLossAction.LAND)
    lon_deg, lat_deg = track.frame.inverse(track.x_m, track.y_m)
    assert np.allclose(told["link_loss_end_lon"], lon_deg, atol=1e-7)
    assert np.allclose(told["link_loss_end_lat"], lat_deg, atol=1e-7)
    assert told["link_loss_s"] == pytest.approx([15.0] * len(track), abs=0.05)


def test_without_an_action_nothing_is_known_and_nothing_left_out():
    flight = plan(path=points([(0, 0, 30.0), (300, 0, 30.0)]))
    told = check_json(assess(flight, world()))["flight"]
    if flight.aircraft.link_loss is None:
        assert {one for key in LOSS_KEYS for one in told[key]} == {None}
