"""How near an area is to what is shut, and to where records end: put in by hand (plane, m).

Distances by hand. The ground's cells are 10 m wide, so a sample may be one and a half of them farther off.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.permission import at_edge as edges
from planner.rules import beside_area, beside_record
from planner.rules.beside_area import NearArea, nearest_of_area
from planner.rules.beside_record import Inside, _of, _of_area, at_end
from planner.rules.finding import Basis, Mark
from planner.track.way_samples import WaySamples
from planner.world.airspace import AirspaceKind
from tests.worlds import HERE, above_ground, sea_level, volume

AREA = SimpleNamespace(
    x_m=np.array([0.0, 50.0, 100.0]), y_m=np.zeros(3), footprint=shapely.box(-5, -10, 105, 10)
)
MAPPED = SimpleNamespace(
    ground=SimpleNamespace(cell_m=lambda _x, _y: 10.0),
    frame=SimpleNamespace(xy_to_place=lambda x_m, y_m: (round(x_m), round(y_m))),
)
SHUT = volume(AirspaceKind.RESTRICTED, floor=sea_level(0.0), top=sea_level(900.0))
ALL = (True, True, True)
AWAY_M = beside_area._CELLS * 10.0


def nearest(monkeypatch, outline, within_m, reached=ALL, among=None):
    monkeypatch.setattr(beside_area, "level", lambda _volume, _samples: np.array(reached))
    shape = shapely.box(outline[0], -10, outline[1], 10)
    among = None if among is None else np.array(among)
    return nearest_of_area(MAPPED, AREA, SHUT, shape, within_m, among)


@pytest.mark.parametrize(
    ("outline", "within_m", "reached", "among", "away_m"),
    [
        # It begins 25 m east of the area, 30 m east of its last sample.
        ((130, 200), 30.0, ALL, None, 25.0),
        ((130, 200), 24.0, ALL, None, None),
        ((130, 200), 130.0, (True, False, False), None, 130.0 - AWAY_M),
        ((130, 200), 130.0, ALL, (True, False, False), 130.0 - AWAY_M),
        ((130, 200), 130.0, (False, False, True), (True, False, False), None),
        ((130, 200), 130.0, (False, True, True), (True, True, False), 80.0 - AWAY_M),
        ((130, 200), 130.0, (False, False, False), None, None),
        # In the area: 10 m from the nearest samples, and they need not be where it is nearest.
        ((60, 90), 70.0, ALL, None, 0.0),
        # Of samples that alone count, as they stand.
        ((60, 90), 70.0, ALL, (True, False, False), 60.0),
        ((60, 90), 70.0, ALL, (True, True, False), 10.0),
        ((60, 90), 59.0, ALL, (True, False, False), None),
    ],
)
def test_how_near_an_area_is_not_overstated(outline, within_m, reached, among, away_m, monkeypatch):
    found = nearest(monkeypatch, outline, within_m, reached, among)
    assert (found and found.away_m) == (away_m and pytest.approx(away_m)) or found.away_m == away_m == 0.0


def test_where_that_is(monkeypatch):
    assert nearest(monkeypatch, (130, 200), 30.0).x_m == pytest.approx(105.0)
    one = nearest(monkeypatch, (60, 90), 70.0, among=(True, True, False))
    assert (one.x_m, one.y_m) == (50.0, 0.0)


@attrs.frozen(eq=False)
class Opened:
    """Two records, of which each allows the height at some samples; what is beyond: which of them count."""

    allowed: tuple
    through: tuple = ()

    def high_enough(self, _samples):
        return np.array(self.allowed)

    def beyond(self, counts):
        which = tuple(counts.tolist())
        return None if which in self.through else which


def parts(monkeypatch, opened, reached=ALL, away_m=5.0):
    """Which samples are asked of what lies beyond which records, and what is told."""
    asked = {}

    def near(_mapped, _samples, _volume, beyond, _within_m, among):
        asked[beyond] = among.tolist()
        return NearArea(away_m, 1.0, 2.0)

    monkeypatch.setattr(beside_record, "level", lambda _volume, _samples: np.array(reached))
    monkeypatch.setattr(beside_record, "nearest_of_area", near)
    return asked, list(_of_area(MAPPED, AREA, SHUT, opened))


def test_each_part_of_an_area_is_held_to_the_records_that_allow_its_height(monkeypatch):
    opened = Opened(((True, False, True), (True, True, False)))
    asked, found = parts(monkeypatch, opened)
    assert asked == {
        (True, True): [True, False, False],
        (False, True): [False, True, False],
        (True, False): [False, False, True],
    }
    assert [(one.words, one.away_m, one.place) for one in found] == [("The flying area is", 5.0, (1, 2))] * 3
    # Not of heights that only samples outside the airspace have, nor where records reach all of it.
    assert list(parts(monkeypatch, opened, (True, False, True))[0]) == [(True, False), (True, True)]
    assert list(parts(monkeypatch, Opened(opened.allowed, ((True, True),)))[0]) == [
        (False, True),
        (True, False),
    ]
    # On the very edge it is told as outside.
    assert parts(monkeypatch, opened, away_m=0.0)[1] == []


def test_of_a_way_the_place_on_it_is_told():
    way, beyond = shapely.LineString([(0, 0), (100, 0)]), shapely.box(110, -50, 200, 50)
    (one,) = _of(MAPPED, "The way out is", way, beyond)
    assert (one.words, one.away_m, one.place) == ("The way out is", 10.0, (100, 0))
    assert _of(MAPPED, "", way, shapely.box(150, -50, 200, 50)) == []
    assert _of(MAPPED, "", way, None) == []


@pytest.mark.parametrize(
    ("law", "mark", "basis", "citation"),
    [(None, Mark.ACT, Basis.SAFETY, "common practice"), ("14 CFR 1", Mark.UNKNOWN, Basis.LAW, "14 CFR 1")],
)
def test_what_is_open_by_law_cites_it(law, mark, basis, citation):
    one = at_end(Inside("The path is", 3.0, HERE), "the record for R", "inside.", remedy="keep away", law=law)
    assert (one.mark, one.basis, one.citation) == (mark, basis, citation)
    assert one.message == "The path is 9 ft inside."


# ---- at heights that count from the ground beyond an edge, and of what comes down there

FROM_GROUND = above_ground(40.0)


def near_at(monkeypatch, planned_m, beyond_m, floor, top, within_m=200.0, **comes_down):
    """How near it comes to an outline 25 m east of it; its ground lies at 300 m, that beyond elsewhere."""

    def over_foot(_mapped, places, to_m, from_m):
        assert places.tolist() == [[130.0, 0.0]] * len(to_m)
        there = np.full(len(to_m), beyond_m)
        return WaySamples(None, *places.T, there, there, to_m, from_m)

    monkeypatch.setattr(edges, "sample_way", over_foot)
    level_m = np.full(3, 300.0)
    samples = SimpleNamespace(
        **vars(AREA),
        planned_amsl_m=np.array(planned_m),
        flown_from_amsl_m=level_m,
        ground_amsl_m=level_m,
        lowest_ground_amsl_m=level_m,
    )
    there, shape = volume(AirspaceKind.RESTRICTED, floor=floor, top=top), shapely.box(130, -10, 200, 10)
    found = nearest_of_area(MAPPED, samples, there, shape, within_m, **comes_down)
    return found and found.away_m


DOWN = {"comes_down": True}


@pytest.mark.parametrize(
    ("planned_m", "beyond_m", "floor", "top", "comes_down", "away_m"),
    [
        # Samples lie 130, 80 and 30 m from it, of which a cell and a half of ground, 15 m, may be nearer.
        ((320.0, 320.0, 305.0), 300.0, sea_level(310.0), sea_level(900.0), DOWN, 65.0),
        ((320.0, 305.0, 310.0), 300.0, sea_level(310.0), sea_level(900.0), DOWN, 25.0),
        ((309.0, 305.0, 300.0), 300.0, sea_level(310.0), sea_level(900.0), DOWN, None),
        # Coming down it passes under every top; flown there it is above one that lies lower than its ground.
        ((320.0, 320.0, 320.0), 300.0, sea_level(200.0), sea_level(290.0), DOWN, 25.0),
        ((320.0, 320.0, 320.0), 300.0, sea_level(200.0), sea_level(290.0), {}, None),
        # Beyond its edge the ground lies lower, and with it a floor 40 m above that; floors belong to it.
        ((295.0, 295.0, 295.0), 250.0, FROM_GROUND, sea_level(900.0), DOWN, 25.0),
        ((295.0, 290.0, 289.0), 250.0, FROM_GROUND, sea_level(900.0), DOWN, 65.0),
        ((295.0, 295.0, 295.0), 300.0, FROM_GROUND, sea_level(900.0), DOWN, None),
        ((305.0, 305.0, 305.0), 250.0, FROM_GROUND, sea_level(900.0), {}, 25.0),
        ((305.0, 305.0, 305.0), 300.0, FROM_GROUND, sea_level(900.0), {}, None),
        ((305.0, 305.0, 305.0), 250.0, FROM_GROUND, sea_level(299.0), {}, None),
        ((305.0, 305.0, 305.0), 250.0, FROM_GROUND, sea_level(299.0), DOWN, 25.0),
        # Likewise a top, and it belongs to it, too.
        ((305.0, 305.0, 305.0), 240.0, sea_level(0.0), above_ground(50.0), {}, None),
        ((305.0, 305.0, 305.0), 250.0, sea_level(0.0), above_ground(50.0), {}, 25.0),
        ((305.0, 305.0, 305.0), 240.0, sea_level(0.0), above_ground(50.0), DOWN, 25.0),
        # A height that is not known is told elsewhere; ground that is not known could be any.
        ((295.0, np.nan, np.nan), 250.0, FROM_GROUND, sea_level(900.0), DOWN, 115.0),
        ((np.nan, np.nan, np.nan), 250.0, FROM_GROUND, sea_level(900.0), DOWN, None),
        ((295.0, 295.0, 295.0), np.nan, FROM_GROUND, sea_level(900.0), DOWN, 25.0),
    ],
)
def test_at_heights_beyond_its_edge(planned_m, beyond_m, floor, top, comes_down, away_m, monkeypatch):
    assert near_at(monkeypatch, planned_m, beyond_m, floor, top, **comes_down) == away_m


def test_what_may_be_nearer_than_its_samples_are_counts(monkeypatch):
    given = ((295.0, 295.0, 295.0), 250.0, FROM_GROUND, sea_level(900.0))
    assert near_at(monkeypatch, *given, 26.0, **DOWN) == 25.0
    assert near_at(monkeypatch, *given, 24.0, **DOWN) is None
