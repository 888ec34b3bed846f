"""No height stands as allowed where nobody says which airspace there is; what closes counts all the same.

Expected answers are made worlds with and without coverage; the rule is the project's own: missing data is
unknown, never free.
"""

from datetime import UTC, datetime

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.ceiling.allowed_layer import allowed_layer
from planner.ceiling.cell_grid import CellGrid, ground_of
from planner.ceiling.derivation import derive_at
from planner.ceiling.never_exceed import HeightUnit, Standing, never_exceed
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveGround
from planner.rules.verdict import Verdict
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from tests.worlds import area, at, disc, layer, layers, plan, points, volume, world

LAYERS_THAT_CLOSE = ("class_airspace", "special_use", "security")
LONG_AGO = datetime(2001, 1, 1, tzinfo=UTC)


def half(name):
    """A record that speaks of the west only: up to 100 m east of the origin."""
    west, middle = at(-50_000, 0), at(100, 0)
    box = shapely.box(west.lon_deg, west.lat_deg - 1, middle.lon_deg, west.lat_deg + 1)
    return attrs.evolve(layer(LayerName[name.upper()]), coverage=box)


def expired(name):
    return attrs.evolve(layer(LayerName[name.upper()]), expires_utc=LONG_AGO)


def damaged(name):
    return attrs.evolve(layer(LayerName[name.upper()]), damage="torn")


@pytest.mark.parametrize("name", LAYERS_THAT_CLOSE)
@pytest.mark.parametrize("made", [lambda _name: None, expired, damaged])
def test_no_ceiling_without_a_current_layer_that_may_close_the_place(name, made):
    answer = assess(plan(), world(layers=layers(**{name: made(name)})))
    assert answer.verdict is not Verdict.READY
    assert np.isnan(answer.profile.ceiling_amsl_m).all()
    assert np.isnan(answer.profile.requestable_amsl_m).all()
    assert set(answer.profile.binding) == {Binding.UNKNOWN}
    figures = never_exceed(answer.track, answer.profile, 0.0, HeightUnit.FEET)
    assert all(one.standing is not Standing.KNOWN and one.figure is None for one in figures)
    assert derive_at(answer.scene, at(100, 0)).ceiling_amsl_m is None


def test_the_limit_above_the_ground_stands_without_airspace_data():
    too_high = plan(path=points([(0, 0, 200.0), (900, 0, 200.0)]))
    answer = assess(too_high, world(layers=layers(class_airspace=None)))
    assert answer.verdict is Verdict.MUST_CHANGE
    assert np.nanmax(answer.track.planned_amsl_m - answer.profile.ground_limit_amsl_m) > 0


@pytest.mark.parametrize("name", LAYERS_THAT_CLOSE)
def test_the_ceiling_ends_where_the_data_ends(name):
    answer = assess(plan(), world(layers=layers(**{name: half(name)})))
    edge_m, _ = answer.scene.mapped.frame.place_to_xy(at(100, 0))
    beyond_m = answer.track.x_m - edge_m
    known = np.isfinite(answer.profile.ceiling_amsl_m)
    assert known[beyond_m < -1].all()
    # The program lets data reach 1 m (1e-5 degrees) beyond its edge.
    assert not known[beyond_m > 2].any()
    assert (beyond_m > 2).any()
    assert answer.profile.ceiling_amsl_m[known] == pytest.approx(
        answer.track.ground_amsl_m[known] + GROUND_LIMIT_M
    )
    assert answer.verdict is not Verdict.READY


def test_what_an_old_chart_closes_stays_closed():
    prohibited = volume(AirspaceKind.PROHIBITED, disc(300, (100, 0)))
    answer = assess(plan(), world(airspace=(prohibited,), layers=layers(special_use=expired("special_use"))))
    inside = np.array([one is Binding.CLOSED for one in answer.profile.binding])
    assert inside.any()
    assert (answer.profile.ceiling_amsl_m[inside] == answer.track.ground_amsl_m[inside]).all()
    assert answer.verdict is Verdict.MUST_CHANGE


def test_an_area_partly_without_data_has_no_lowest_limit():
    box = area(shapely.box(*_corner(0, -200), *_corner(900, 200)), AboveGround(50.0))
    whole = assess(plan(path=(), area=box), world())
    assert whole.area.lowest_limit_agl_m == pytest.approx(GROUND_LIMIT_M, abs=0.5)
    partly = assess(plan(path=(), area=box), world(layers=layers(security=half("security"))))
    assert partly.area.lowest_limit_agl_m is None
    assert partly.area.over_by_m is None
    assert partly.area.binding is Binding.UNKNOWN


def test_the_map_shows_no_height_beyond_the_data():
    charts = world(layers=layers(class_airspace=half("class_airspace")))
    scene = assess(plan(), charts).scene
    grid = CellGrid(0.0, 0.0, 1.0, *charts.terrain.heights_m.shape[::-1])
    layer_ = allowed_layer(scene, ground_of(scene.mapped.ground, grid))
    x_m, _ = grid.in_plane(
        scene.mapped.ground,
        *(part.ravel().astype(float) for part in np.meshgrid(range(grid.columns), range(grid.rows))),
    )
    limit_m = scene.mapped.frame.place_to_xy(at(100, 0))[0]
    known = np.isfinite(layer_.allowed_amsl_m.ravel())
    assert known[x_m < limit_m - 5].all()
    assert not known[x_m > limit_m + 5].any()
    assert known.any()
    assert not known.all()


def test_two_sheets_that_meet_are_known_across_their_seam():
    """Together they cover the place, as they do for the verdict."""
    middle, far = at(100, 0), at(50_000, 0)
    east = attrs.evolve(
        layer(LayerName.SECURITY),
        coverage=shapely.box(middle.lon_deg, middle.lat_deg - 1, far.lon_deg, middle.lat_deg + 1),
        source="INVENTED other sheet",
    )
    answer = assess(plan(), world(layers=(*layers(security=half("security")), east)))
    assert np.isfinite(answer.profile.ceiling_amsl_m).all()


def _corner(east_m, north_m):
    place = at(east_m, north_m)
    return place.lon_deg, place.lat_deg
