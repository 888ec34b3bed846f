"""What the profile works out before it draws: readout, pieces of the line, thinning, words, towers, heights.

Expected numbers are worked out by hand from the invented scene or from straight lines: arithmetic, no outside
source. Only the 400-ft radius is the rule's (14 CFR 107.51(b)).
"""

from itertools import pairwise

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.ceiling.profile import AreaCeiling, Binding, CeilingProfile
from planner.desk.profile.binding_words import binding_runs
from planner.desk.profile.curves import curves_of, unknown_stretches
from planner.desk.profile.heights import height_from_amsl, whole_amsl_m
from planner.desk.profile.labels import Label, place_labels, skyline
from planner.desk.profile.readout import area_words, describe
from planner.desk.profile.scale import Scale, distance_text, round_step, ticks
from planner.desk.profile.strips import STRIPS, binds, strips_of
from planner.desk.profile.thinning import TOLERANCE_PX, thinned
from planner.desk.profile.towers import TowerFinder
from planner.drawing.path_pattern import stretches
from planner.drawing.patterns import Pattern
from planner.errors import PlanError
from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.plan.geometry import PathPoint
from planner.track.track import Track
from planner.units import FOOT_M
from planner.world.structures import Structure
from tests import worlds
from tests.bench.profile_scene import MAST_M, MAST_TOP_FT, ORIGIN, SURFACE_AREAS_M, VOID_M, build, ground_ft

NAN = float("nan")
HERE = Place(-150.2, 37.8)


@pytest.fixture(scope="module")
def scene():
    return build(1200)


def straight_track(distance_m, planned_m, ground_m=None):
    """A level-map track eastward; leg of two points."""
    distance_m = np.asarray(distance_m, dtype=float)
    count = len(distance_m)
    ground_m = np.zeros(count) if ground_m is None else np.asarray(ground_m, dtype=float)
    return Track(
        frame=LocalFrame(ORIGIN),
        distance_m=distance_m,
        x_m=distance_m,
        y_m=np.zeros(count),
        lon_deg=np.zeros(count),
        lat_deg=np.zeros(count),
        ground_amsl_m=ground_m,
        lowest_ground_amsl_m=ground_m,
        planned_amsl_m=np.asarray(planned_m, dtype=float),
        leg=np.zeros(count, dtype=np.int64),
        fraction=distance_m / distance_m[-1],
        stretch=np.zeros(count, dtype=np.int64),
        inside=np.zeros((1, 0), dtype=bool),
        point_sample=np.array([0, count - 1]),
        launch_ground_amsl_m=0.0,
    )


def ceilings(ceiling_m, asked_m=None, closed=False, unpermitted=False):
    ceiling_m = np.asarray(ceiling_m, dtype=float)
    count = len(ceiling_m)
    asked_m = ceiling_m if asked_m is None else np.asarray(asked_m, dtype=float)
    return CeilingProfile(
        ceiling_amsl_m=ceiling_m,
        requestable_amsl_m=asked_m,
        ground_limit_amsl_m=asked_m,
        binding=(Binding.GROUND,) * count,
        binding_name=("",) * count,
        in_closed=np.full(count, closed),
        in_unpermitted=np.full(count, unpermitted),
        uncertainty_m=np.zeros(count),
    )


def pieces(track, profile):
    answer = attrs.evolve(build(1200), track=track, profile=profile)
    line = curves_of(track, profile, stretches(answer)).planned
    return [
        (float(line.distance_m[k]), float(line.distance_m[k + 1]), Pattern(line.pattern[k]))
        for k in range(len(line.distance_m) - 1)
    ]


class TestPatterns:
    def test_the_line_is_cut_where_it_crosses_ceiling_and_height_limit(self):
        # 0 to 200 m high over 1,000 m: crosses 50 m at 250 m and 120 m at 600 m.
        track = straight_track([0, 1000], [0, 200])
        found = pieces(track, ceilings([50, 50], [120, 120]))
        assert [pattern for *_, pattern in found] == [Pattern.CLEAR, Pattern.ACT, Pattern.STOP]
        assert [to_m for _, to_m, _ in found] == pytest.approx([250, 600, 1000], abs=0.1)

    def test_exactly_at_the_ceiling_is_clear(self):
        track = straight_track([0, 500, 1000], [121.92, 121.92, 121.92])
        assert {pattern for *_, pattern in pieces(track, ceilings([121.92] * 3))} == {Pattern.CLEAR}

    def test_closed_airspace_is_over_even_below_a_ceiling(self):
        track = straight_track([0, 1000], [50, 50])
        assert pieces(track, ceilings([100, 100], closed=True))[0][2] is Pattern.STOP

    def test_unpermitted_airspace_asks_even_where_no_height_is_known_to_be_open(self):
        track = straight_track([0, 1000], [50, 50])
        profile = ceilings([NAN, NAN], [NAN, NAN], unpermitted=True)
        assert pieces(track, profile)[0][2] is Pattern.ACT

    def test_an_unknown_ceiling_is_never_clear(self):
        track = straight_track([0, 1000], [50, 50])
        assert pieces(track, ceilings([NAN, NAN]))[0][2] is Pattern.UNKNOWN

    def test_below_the_ground_must_change(self):
        track = straight_track([0, 1000], [50, 50], ground_m=[0, 100])
        assert pieces(track, ceilings([150, 250]))[-1] == (pytest.approx(500, abs=0.5), 1000.0, Pattern.STOP)

    def test_unknown_stretches_reach_to_the_next_known_sample(self):
        distance_m = np.array([0.0, 10, 20, 20, 30, 40])
        assert unknown_stretches(distance_m, np.array([1, 1, 1, NAN, NAN, 1])) == [(20.0, 40.0)]
        assert unknown_stretches(distance_m, np.array([NAN, 1, 1, 1, 1, NAN])) == [(0.0, 10.0), (30.0, 40.0)]
        assert unknown_stretches(distance_m, np.ones(6)) == []


class TestReadout:
    def test_before_the_mast(self, scene):
        told = describe(scene, MAST_M)
        ground = float(ground_ft(np.array(MAST_M)))
        assert told.ceiling_amsl_m / FOOT_M == pytest.approx(MAST_TOP_FT + 400)
        assert told.ground_amsl_m / FOOT_M == pytest.approx(ground)
        assert told.planned_agl_m / FOOT_M == pytest.approx(390)
        assert told.planned_amsl_m / FOOT_M == pytest.approx(ground + 390)
        assert told.planned_above_launch_m == pytest.approx(
            told.planned_amsl_m - scene.track.launch_ground_amsl_m
        )
        assert told.requestable_amsl_m is None
        assert (told.binding, told.binding_words) == (Binding.STRUCTURE, "Tern mast + 400 ft")

    def test_in_the_surface_area_nothing_is_allowed_and_200_ft_can_be_asked_for(self, scene):
        told = describe(scene, 900.0)
        assert told.ceiling_amsl_m == told.ground_amsl_m
        assert (told.requestable_amsl_m - told.ground_amsl_m) / FOOT_M == pytest.approx(200)
        assert told.words()[3].startswith("ceiling 0 ft above ground (Corrow Field Class D: no permission")
        assert told.words()[3].endswith("200 ft above ground if asked for")

    def test_at_a_jump_the_lower_ceiling_is_told(self, scene):
        edge_m = SURFACE_AREAS_M[0][1]
        told = describe(scene, edge_m)
        assert told.binding is Binding.NO_PERMISSION
        assert told.ceiling_amsl_m == pytest.approx(float(ground_ft(np.array(edge_m))) * FOOT_M)
        assert describe(scene, edge_m + 1e-6).binding is Binding.GROUND

    def test_what_is_not_known_is_said_so(self, scene):
        told = describe(scene, sum(VOID_M) / 2)
        assert told.ground_amsl_m is told.ceiling_amsl_m is told.planned_agl_m is None
        assert told.planned_amsl_m is not None
        assert told.binding is Binding.UNKNOWN
        assert told.words()[1] == "ground not known"
        assert told.words()[3] == "ceiling not known"

    def test_at_the_edge_of_a_void_the_unknown_comes_first(self, scene):
        assert describe(scene, VOID_M[0]).ceiling_amsl_m is None

    def test_beyond_the_ends_the_ends_are_told(self, scene):
        assert describe(scene, -5.0).distance_m == 0.0
        assert describe(scene, 1e9).distance_m == scene.track.length_m

    def test_between_samples_heights_are_straight_lines(self):
        track = straight_track([0, 1000], [100, 300], ground_m=[0, 40])
        scene = attrs.evolve(build(400), track=track, profile=ceilings([120, 160]))
        told = describe(scene, 250.0)
        assert (told.planned_amsl_m, told.ground_amsl_m, told.ceiling_amsl_m) == pytest.approx((150, 10, 130))

    def test_limits_are_rounded_down_and_plans_up(self):
        track = straight_track([0, 1000], [100.2 * FOOT_M] * 2)
        scene = attrs.evolve(build(400), track=track, profile=ceilings([399.9 * FOOT_M] * 2))
        words = describe(scene, 500.0).words()
        assert words[2] == "planned 101 ft above ground · 101 above launch · 101 above sea"
        assert words[3] == "ceiling 399 ft above ground (ground + 400 ft)"

    def test_without_a_path_there_is_nothing_to_tell(self, scene):
        assert describe(attrs.evolve(scene, track=None, profile=None), 5.0) is None


def area_of(**changes):
    area = AreaCeiling(
        lowest_limit_amsl_m=1000 * FOOT_M,
        lowest_limit_agl_m=400 * FOOT_M,
        planned_top_amsl_m=1010.5 * FOOT_M,
        over_by_m=10.5 * FOOT_M,
        binding=Binding.GROUND,
        binding_name="",
        place=HERE,
        uncertainty_m=2.0,
        unknown_share=0.0,
    )
    return attrs.evolve(area, **changes)


class TestAreaWords:
    def test_a_top_over_the_limit(self):
        limit, top = area_words(area_of())
        assert limit == (
            "Lowest limit over the area: 400 ft above ground, 1,000 ft above sea level (ground + 400 ft)."
        )
        assert top == "Its top there, 1,011 ft above sea level, is 11 ft over that limit."

    def test_unknown_ground_is_said(self):
        unknown = area_of(
            lowest_limit_amsl_m=None, lowest_limit_agl_m=None, over_by_m=None, unknown_share=0.031
        )
        assert area_words(unknown) == (
            "The lowest limit over the area is not known.",
            "The ground is not known under 4 % of the area.",
        )

    def test_no_top(self):
        assert "The area has no top height." in area_words(area_of(planned_top_amsl_m=None, over_by_m=None))


class TestHeights:
    @pytest.mark.parametrize(
        ("height", "expected"),
        [
            (AboveGround(30), AboveGround(50)),
            (AboveLaunch(30), AboveLaunch(130)),
            (AboveSeaLevel(30), AboveSeaLevel(150)),
        ],
    )
    def test_a_height_keeps_its_kind(self, height, expected):
        assert height_from_amsl(PathPoint(HERE, height), 100.0, 20.0, 150.0) == expected

    @pytest.mark.parametrize("height", [AboveGround(30), AboveLaunch(30)])
    def test_an_unknown_zero_is_refused_in_one_line(self, height):
        with pytest.raises(PlanError, match="is not known; give the height above sea level"):
            height_from_amsl(PathPoint(HERE, height), NAN, NAN, 150.0)

    def test_above_sea_level_needs_no_ground(self):
        assert height_from_amsl(PathPoint(HERE, AboveSeaLevel(1)), NAN, NAN, 150.0) == AboveSeaLevel(150)

    def test_whole_units_are_counted_from_the_zero(self):
        assert whole_amsl_m(100.1 + 10.4 * FOOT_M, 100.1, FOOT_M) == pytest.approx(100.1 + 10 * FOOT_M)
        assert whole_amsl_m(110.7, 100.1, 1.0) == pytest.approx(111.1)
        assert whole_amsl_m(33.3, NAN, 1.0) == 33.3


class TestStripsAndRuns:
    def test_runs_cover_the_path_and_meet(self, scene):
        runs = list(binding_runs(scene.track.distance_m, scene.profile))
        assert (runs[0].from_m, runs[-1].to_m) == (0.0, scene.track.length_m)
        assert all(a.to_m == b.from_m for a, b in pairwise(runs))
        assert all((a.binding, a.name) != (b.binding, b.name) for a, b in pairwise(runs))

    def test_each_binding_in_the_scene_is_told(self, scene):
        texts = [interval.text for interval in binds(scene).intervals]
        assert texts == [
            "ask 200 ft AGL · Corrow Field Class D",
            "ground + 400 ft",
            "Tern mast + 400 ft",
            "ground + 400 ft",
            "under 900 ft AMSL · Corrow Class C",
            "ground + 400 ft",
            "limit not known",
            "ground + 400 ft",
            "ask 200 ft AGL · Corrow Field Class D",
        ]

    def test_an_empty_strip_is_not_shown(self, scene):
        assert binds is STRIPS[0]
        assert strips_of(attrs.evolve(scene, track=None, profile=None)) == ()

    def test_cells_of_different_height_are_told_as_a_range(self, scene):
        asked = scene.profile.requestable_amsl_m.copy()
        asked[:40] = scene.track.ground_amsl_m[:40] + 100 * FOOT_M
        changed = attrs.evolve(scene, profile=attrs.evolve(scene.profile, requestable_amsl_m=asked))
        assert binds(changed).intervals[0].short == "ask 100 to 200 ft AGL"

    def test_no_route_leaves_nothing_to_ask_for(self, scene):
        profile = attrs.evolve(scene.profile, requestable_amsl_m=scene.profile.ceiling_amsl_m)
        interval = binds(attrs.evolve(scene, profile=profile)).intervals[0]
        assert interval.text == "no permission · Corrow Field Class D"


class TestThinning:
    def test_no_line_strays_by_more_than_the_tolerance(self):
        rng = np.random.default_rng(5)
        x = np.sort(rng.uniform(0, 5000, 3000))
        y = np.cumsum(rng.normal(0, 4, 3000))
        scale = Scale(0, 5000, -400, 400, 1000, 200)
        joined = np.ones(3000, dtype=bool)
        joined[[700, 1500, -1]] = False
        thin_x, thin_y, thin_joined = thinned(x, y, joined, scale)
        assert len(thin_x) < 2900
        assert (~thin_joined).sum() == 3
        pieces = np.split(np.column_stack((thin_x, thin_y)), np.flatnonzero(~thin_joined)[:-1] + 1)
        originals = np.split(np.column_stack((x, y)), [701, 1501])
        to_px = np.array([scale.px_per_m, scale.px_per_ft])
        for piece, original in zip(pieces, originals, strict=True):
            away = shapely.distance(shapely.LineString(piece * to_px), shapely.points(original * to_px))
            assert away.max() <= TOLERANCE_PX + 1e-9

    def test_a_vertical_step_stays(self):
        x, y = np.array([0.0, 50, 50, 100]), np.array([10.0, 10, 90, 90])
        scale = Scale(0, 100, 0, 100, 1000, 200)
        thin_x, thin_y, _ = thinned(x, y, np.array([True, True, True, False]), scale)
        assert thin_x == pytest.approx(x)
        assert thin_y == pytest.approx(y)

    def test_nothing_joined_is_nothing_drawn(self):
        nothing = thinned(
            np.arange(4.0), np.arange(4.0), np.zeros(4, dtype=bool), Scale(0, 4, 0, 4, 100, 100)
        )
        assert [len(part) for part in nothing] == [0, 0, 0]


class TestTowers:
    @pytest.mark.parametrize(("aside_ft", "found"), [(399.9, True), (400.1, False)])
    def test_within_400_ft_of_the_path(self, aside_ft, found):
        track = straight_track([0, 500, 1000], [100] * 3)
        place = track.frame.xy_to_place(400.0, aside_ft * FOOT_M)
        towers = TowerFinder().near(track, (structure(place),))
        assert [round(tower.distance_m) for tower in towers] == ([400] if found else [])

    def test_a_dismantled_one_is_left_out_and_an_unknown_height_is_not_made_up(self):
        track = straight_track([0, 500, 1000], [100] * 3)
        place = track.frame.xy_to_place(400.0, 10.0)
        gone = structure(place, dismantled=True)
        unknown = structure(place, key="b", name="silo", top_amsl_m=None, height_agl_m=None)
        (tower,) = TowerFinder().near(track, (gone, unknown))
        assert (tower.name, tower.top_ft) == ("silo", None)

    def test_a_mast_that_the_path_curves_round_stands_once_and_again_where_it_comes_back(self):
        flown = worlds.points([(x, y, 30.0) for x, y in AROUND_AND_BACK])
        track = assess(worlds.plan(path=flown), worlds.world(terrain=worlds.terrain(worlds.level()))).track
        towers = TowerFinder().near(track, (structure(worlds.at(0, 0)),))
        assert len(towers) == 2
        assert [round(tower.aside_m) for tower in towers] == [37, 90]  # 37: 4000 / hypot(100, 40)


AROUND_AND_BACK = [(-300, 100), (-100, -60), (0, -40), (100, 0), (60, 90), (600, 90), (600, -90), (90, 0)]


def structure(place, **changes):
    mast = Structure(key="a", kind="TOWER", place=place, top_amsl_m=60.0, height_agl_m=60.0)
    return attrs.evolve(mast, **changes)


class TestWordsAndTicks:
    def test_the_skyline_is_the_upper_edge_and_open_in_gaps(self):
        sky = skyline(
            10,
            np.array([0.0, 3, 3, 6, 8, 9]),
            np.array([50.0, 50, 20, 20, 40, 40]),
            np.array([True, True, True, False, True, False]),
        )
        assert sky[:3] == pytest.approx([50, 50, 50])
        assert sky[3:7] == pytest.approx([20, 20, 20, 20])
        assert np.isinf(sky[7])
        assert sky[8:] == pytest.approx([40, 40])

    def test_words_without_room_are_left_out_lightest_first(self):
        sky = np.full(100, 22.0)
        heavy, light = Label("heavy", 0, 1, weight=2), Label("light", 0, 1, weight=1)
        placed = place_labels([(light, 20, 30, 60), (heavy, 20, 30, 60)], 14.0, sky)
        assert [item.label for item in placed] == [heavy]

    @pytest.mark.parametrize(
        ("span", "most", "step"), [(1000, 5, 200), (1000, 4, 500), (990, 1, 1000), (7, 8, 1)]
    )
    def test_steps_are_round(self, span, most, step):
        assert round_step(span, most) == pytest.approx(step)

    def test_ticks_lie_within(self):
        assert list(ticks(-30, 410, 200)) == [0, 200, 400]

    @pytest.mark.parametrize(
        ("distance_m", "step_m", "text"),
        [
            (50, 50, "50 m"),
            (1050, 50, "1.05 km"),
            (0, 1000, "0 km"),
            (500, 500, "0.5 km"),
            (3000, 1000, "3 km"),
        ],
    )
    def test_distances_are_written_as_coarsely_as_the_step_allows(self, distance_m, step_m, text):
        assert distance_text(distance_m, step_m) == text
