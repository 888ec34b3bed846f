"""A return point that is set is named to whoever sets it in the aircraft: on the sheet and in every export.

That an aircraft returns by itself to the point set in it, and not to what a plan says, is common practice.
"""

import json
import xml.etree.ElementTree as Xml

import attrs
import pytest

from planner.assess import assess
from planner.briefing.export_geojson import flight_geojson
from planner.briefing.export_kml import flight_kml
from planner.briefing.gpx import flight_gpx
from planner.briefing.no_go import no_go_boxes
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.wording import position
from tests import worlds

SPOT = worlds.at(120, -80)
RETURN = LinkLoss(LinkLossAction.RETURN_FIXED, height=AboveLaunch(60.0))


def judged(action=RETURN, spot=SPOT):
    plan = worlds.plan(return_point=spot)
    return assess(attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, link_loss=action)), worlds.world())


@pytest.mark.parametrize(
    ("action", "spot", "named"),
    [(RETURN, SPOT, True), (RETURN, None, False), (LinkLoss(LinkLossAction.LAND), SPOT, False)],
)
def test_no_flight_begins_before_the_return_point_is_set(action, spot, named):
    line = f"return point {position(SPOT)} not set"
    assert (line in no_go_boxes(judged(action, spot))) is named


@pytest.mark.parametrize("spot", [SPOT, None])
def test_every_export_has_it(spot):
    answer = judged(spot=spot)
    marks = [
        one["geometry"]["coordinates"]
        for one in json.loads(flight_geojson(answer))["features"]
        if one["properties"]["kind"] == "return-point"
    ]
    assert [pytest.approx(one, abs=1e-6) for one in marks] == ([[SPOT.lon_deg, SPOT.lat_deg]] if spot else [])
    for text, name in ((flight_gpx(answer), "return point"), (flight_kml(answer), "Return point")):
        names = [one.text for one in Xml.fromstring(text).iter() if one.tag.endswith("name")]
        assert (name in names) is (spot is not None)
