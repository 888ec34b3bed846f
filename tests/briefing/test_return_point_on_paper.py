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
from planner.briefing.link_loss_words import link_loss_lines
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


@pytest.mark.parametrize(
    ("action", "spot", "told"),
    [
        (
            RETURN,
            SPOT,
            "it climbs to 197 ft above launch if it is lower, flies straight to the return point and lands",
        ),
        (RETURN, None, "if it is lower, flies straight to the launch point and lands"),
        (
            LinkLoss(LinkLossAction.RETURN_HIGHEST),
            SPOT,
            "so far, flies straight to the return point and lands",
        ),
        (LinkLoss(LinkLossAction.LAND), SPOT, "it comes down where it is."),
    ],
)
def test_the_sheet_says_where_a_return_ends_and_that_it_lands(action, spot, told):
    """A return height is climbed to, never sunk to (our own rule: the manual's page on coming home)."""
    does, clear = link_loss_lines(judged(action, spot))
    assert told in does
    if action.action is not LinkLossAction.LAND:
        assert ("return point" if spot else "launch point") in clear


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
