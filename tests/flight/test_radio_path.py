"""Radio over terrain: against a brute-force twin on real and on made ground, and by hand."""

import numpy as np
import pytest

from planner.flight.free_space import fresnel_radius_m
from planner.flight.links import Failing, LinkSpec, least_margin_db, link_along, links_along, missing_figures
from planner.flight.radio_path import Antenna, radio_paths
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.aircraft import Radio, RadioUse
from planner.plan.geometry import LegShape
from tests.flight.brute_radio import slow_terrain_db
from tests.flight.scenes import level, low_run, points, real_terrain, track_over
from tests.worlds import GROUND_M, terrain

VIDEO = Radio(
    RadioUse.VIDEO, 5800.0, 25.0, analog=True, ground_gain_dbi=2.0, air_gain_dbi=2.0, sensitivity_dbm=-90.0
)
CONTROL = Radio(
    RadioUse.CONTROL, 915.0, 100.0, ground_gain_dbi=2.0, air_gain_dbi=0.0, sensitivity_dbm=-105.0,
    required_margin_db=12.0,
)  # fmt: skip


def antenna_at(track, height_m=1.5):
    return Antenna(float(track.x_m[0]), float(track.y_m[0]), float(track.ground_amsl_m[0]) + height_m)


def compare(track, ground, samples, mhz):
    antenna = antenna_at(track)
    paths = radio_paths(track, antenna, [ground], mhz)
    loss, clearance = paths.terrain_db(mhz), paths.fresnel_clearance(mhz)
    for k in samples:
        if np.hypot(track.x_m[k] - antenna.x_m, track.y_m[k] - antenna.y_m) < 5.0:
            continue
        slow_db, slow_clearance = slow_terrain_db(
            ground, (antenna.x_m, antenna.y_m, antenna.amsl_m), track, int(k), mhz
        )
        assert loss[k] == pytest.approx(slow_db, abs=0.1), k
        if slow_clearance < 1.0:
            assert clearance[k] == pytest.approx(slow_clearance, abs=0.02 + 0.01 * abs(slow_clearance)), k


@pytest.mark.parametrize(("bearing_deg", "height_m", "mhz"), [(40, 20, 915), (40, 20, 5800), (200, 12, 2440)])
def test_real_hills_against_brute_force(shared_data, bearing_deg, height_m, mhz):
    """At most 0.1 dB apart."""
    path = low_run(Place(-84.2, 36.3), bearing_deg, 8_000.0, height_m)
    track, mapped = track_over(real_terrain(shared_data), path)
    compare(track, mapped.ground, np.linspace(0, len(track) - 1, 60).astype(int), mhz)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("geographic", [False, True])
def test_made_hills_against_brute_force(seed, geographic):
    """Rough ground whose cells are twisted, so that it rises between raster lines; at most 0.1 dB apart."""
    random = np.random.default_rng(seed)
    noise = random.normal(0.0, 4.0, (201, 201))

    def relief(east_m, north_m):
        hills = 18 * np.sin(east_m / 170.0 + seed) + 14 * np.cos(north_m / 130.0)
        return GROUND_M + hills + noise[: east_m.shape[0], : east_m.shape[1]]

    path = points(
        (-1200, -900, AboveGround(15.0)),
        (300, 200, AboveGround(25.0)),
        (1500, 1100, AboveGround(8.0)),
        shape=LegShape.FOLLOW_GROUND,
    )
    ground = terrain(relief, cell_m=30.0, geographic=geographic)
    track, mapped = track_over(ground, path)
    compare(track, mapped.ground, random.choice(len(track), 60, replace=False), 5800.0)


def wall(height_m, at_m):
    def relief(east_m, _north_m):
        return GROUND_M + np.where(np.abs(east_m - at_m) < 10, height_m, 0.0)

    return terrain(relief, cell_m=10.0, cells=401)


def test_a_single_ridge_is_the_knife_edge_of_the_recommendation():
    """ITU-R P.526 (B): an edge 5 m above the line at 1,000 of 2,000 m, 5,800 MHz: v 1.391, 16.22 dB."""
    ray_m = 40.0
    path = points((-1000, 0, level(GROUND_M + ray_m)), (1000, 0, level(GROUND_M + ray_m)))
    # The earth's bulge lifts the edge by d1 d2 / 2 a.
    ground = wall(ray_m + 5.0 - 1000 * 1000 / 2 / 8.5e6, 0.0)
    track, mapped = track_over(ground, path)
    antenna = Antenna(float(track.x_m[0]), float(track.y_m[0]), GROUND_M + ray_m)
    paths = radio_paths(track, antenna, [mapped.ground], 900.0)
    assert paths.edge_v(5800.0)[-1] == pytest.approx(1.391, abs=0.005)
    assert paths.single_edge_db(5800.0)[-1] == pytest.approx(16.22, abs=0.05)
    assert paths.worst_m[-1] == pytest.approx(1000.0, abs=15.0)
    # Of one edge the construction for many finds the same edge.
    single = paths.single_edge_db(5800.0)[-1]
    many = single + (1 - np.exp(-single / 6)) * (10 + 0.02 * 2.0)
    assert paths.terrain_db(5800.0)[-1] == pytest.approx(many, abs=0.1)


def test_clearance_in_fresnel_radii():
    """2.5 m below the ray at mid-path of 1 km, 5,800 MHz: 0.69 of the first zone (P.526, B)."""
    path = points((-500, 0, level(GROUND_M + 30)), (500, 0, level(GROUND_M + 30)))
    ground = wall(27.5 - 500 * 500 / 2 / 8.5e6, 0.0)
    track, mapped = track_over(ground, path)
    antenna = Antenna(float(track.x_m[0]), float(track.y_m[0]), GROUND_M + 30)
    found = radio_paths(track, antenna, [mapped.ground], 900.0).fresnel_clearance(5800.0)[-1]
    assert found == pytest.approx(2.5 / fresnel_radius_m(5800, 500.0, 500.0), abs=0.01)


def test_margins_over_level_ground_are_those_of_free_space():
    """14 dBm + 4 dBi at 1 km, 5,800 MHz: -89.67 dBm (computed), 0.33 dB over a sensitivity of -90 dBm."""
    path = points((0, 0, level(GROUND_M + 90)), (1000, 0, level(GROUND_M + 90)))
    track, mapped = track_over(terrain(), path)
    antenna = Antenna(float(track.x_m[0]), float(track.y_m[0]), GROUND_M + 90)
    (link,) = links_along(track, antenna, [mapped.ground], [LinkSpec.of(VIDEO)])
    assert link.margin_db[-1] == pytest.approx(0.33 - 0.02, abs=0.1)
    assert link.thin[-1]
    assert not link.lost[-1]
    assert link.worst == len(track) - 1


def test_crowns_take_what_bare_earth_leaves():
    path = points((0, 0, level(GROUND_M + 12)), (1500, 0, level(GROUND_M + 12)))
    bare = terrain()
    wood = terrain(lambda east_m, _n: GROUND_M + np.where((east_m > 300) & (east_m < 900), 18.0, 0.0))
    track, mapped = track_over(bare, path)
    _, covered = track_over(wood, path)
    open_db = radio_paths(track, antenna_at(track), [mapped.ground], 900.0).terrain_db(2440.0)
    wooded_db = radio_paths(track, antenna_at(track), [mapped.ground, covered.ground], 900.0).terrain_db(
        2440.0
    )
    assert (wooded_db >= open_db - 1e-9).all()
    assert wooded_db[-1] > open_db[-1] + 10


def test_unknown_ground_is_an_unknown_margin():
    holed = terrain()
    heights = holed.heights_m.copy()
    heights[90:110, 110:120] = np.nan
    path = points((0, 0, level(GROUND_M + 60)), (1200, 0, level(GROUND_M + 60)))
    track, mapped = track_over(type(holed)(heights, holed.cell_to_crs, holed.crs), path)
    link = link_along(radio_paths(track, antenna_at(track), [mapped.ground], 900.0), LinkSpec.of(VIDEO))
    assert link.unknown[-1]
    assert not link.unknown[1]
    nothing = link_along(radio_paths(track, antenna_at(track), [], 900.0), LinkSpec.of(VIDEO))
    assert nothing.unknown.all()
    assert nothing.worst is None


@pytest.mark.parametrize("seed", [0, 2, 7])
def test_a_ray_over_the_corner_of_an_unknown_cell_is_not_known(seed):
    """Against a dense walk along every ray: both raster lines it cuts there may be known."""
    random = np.random.default_rng(seed)
    whole = terrain(lambda east_m, north_m: GROUND_M + 9 * np.sin(east_m / 170.0), cell_m=30.0)
    heights = whole.heights_m.copy()
    row, column = random.integers(90, 110, 2)
    heights[row : row + 4, column : column + 4] = np.nan
    stops = [(*random.uniform(-900, 900, 2), level(GROUND_M + 60)) for _ in range(3)]
    track, mapped = track_over(type(whole)(heights, whole.cell_to_crs, whole.crs), points(*stops))
    antenna = Antenna(700.0, -650.0, GROUND_M + 20)
    share = np.linspace(0.0, 0.9999, 2001)
    ground = mapped.ground.ground(
        (antenna.x_m + (track.x_m[:, None] - antenna.x_m) * share).ravel(),
        (antenna.y_m + (track.y_m[:, None] - antenna.y_m) * share).ravel(),
    )
    walked = np.isnan(ground.reshape(-1, len(share))).any(axis=1)
    unknown = np.isnan(radio_paths(track, antenna, [mapped.ground], 900.0).terrain_db(2440.0))
    assert walked.any() and not walked.all()  # noqa: PT018
    assert not (walked & ~unknown).any()
    # A ray that passes within a tenth of a cell may be missed by the walk.
    assert (unknown & ~walked).sum() <= 1


def test_a_budget_with_a_hole_is_no_budget():
    assert LinkSpec.of(Radio(RadioUse.VIDEO, 5800.0, 25.0)) is None
    assert missing_figures(Radio(RadioUse.VIDEO, 5800.0, 25.0)) == (
        "gain of the antenna on the ground", "gain of the antenna in the air", "sensitivity",
    )  # fmt: skip
    assert LinkSpec.of(CONTROL).required_margin_db == 12.0
    assert LinkSpec.of(CONTROL).failing is Failing.UNKNOWN
    assert LinkSpec.of(VIDEO).failing is Failing.FADES


def test_control_and_video_are_kept_apart():
    path = points((0, 0, level(GROUND_M + 60)), (800, 0, level(GROUND_M + 60)))
    track, mapped = track_over(terrain(), path)
    links = links_along(track, antenna_at(track), [mapped.ground], [LinkSpec.of(VIDEO), LinkSpec.of(CONTROL)])
    video = least_margin_db(links, RadioUse.VIDEO, len(track))
    control = least_margin_db(links, RadioUse.CONTROL, len(track))
    assert (control[1:] > video[1:]).all()
    assert np.isnan(least_margin_db(links[:1], RadioUse.CONTROL, len(track))).all()
