"""What an edit leaves alone is taken over: the track is bit for bit the one made anew (our own: issue 8)."""

import attrs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.assess import frame_for
from planner.geo.heights import AboveGround
from planner.track import joined
from planner.track.build import build_track
from planner.track.joined import JoinedLegs
from planner.track.mapped import map_world
from planner.track.path_ends import PathEnds
from planner.track.track import Track
from planner.track.unchanged import unchanged_ends
from tests.worlds import above_ground, box, plan, points, volume, world

ARRAYS = [field.name for field in attrs.fields(Track) if field.name not in ("frame", "launch_ground_amsl_m")]


def same(one, other):
    for name in ARRAYS:
        mine, theirs = getattr(one, name), getattr(other, name)
        assert mine.dtype == theirs.dtype
        assert np.array_equal(mine, theirs, equal_nan=mine.dtype.kind == "f"), name
    assert one.launch_ground_amsl_m == other.launch_ground_amsl_m


PATH = points([(40.0 * k, 15.0 * (k % 3), AboveGround(30.0 + k)) for k in range(9)])
LIFTED = attrs.evolve(PATH[4], height=AboveGround(77.0))
EDITS = {
    "moved in the middle": (*PATH[:4], LIFTED, *PATH[5:]),
    "moved at the end": (*PATH[:-1], LIFTED),
    "inserted": (*PATH[:3], LIFTED, *PATH[3:]),
    "cut out": PATH[:3] + PATH[5:],
    "cut at the end": PATH[:-1],
    "made longer": (*PATH, LIFTED),
    "turned round": tuple(reversed(PATH)),
    "the same again": tuple(PATH),
    "a point twice": (*PATH[:5], PATH[4], *PATH[5:]),
    "begins elsewhere": (LIFTED, *PATH[1:]),
}


@pytest.fixture(scope="module")
def mapped():
    charts = world(airspace=(volume(outline=box(90, -500, 190, 500), floor=above_ground(20.0)),))
    return map_world(charts, (), frame_for(plan(path=PATH)))


@pytest.mark.parametrize("edited", EDITS.values(), ids=EDITS)
def test_an_edit_of_a_path_makes_the_track_that_it_makes_alone(mapped, edited):
    memory, ends, laid = {}, PathEnds(), JoinedLegs()
    for path in (PATH, edited, PATH):
        flight = plan(path=path)
        found = build_track(flight, mapped, memory, None, ends.of(flight, mapped), laid)
        same(found, build_track(flight, mapped))
    assert len(np.unique(found.stretch)) > len(PATH) - 1  # the outline parts a leg


def test_only_what_is_new_is_laid_into_the_plane(mapped, monkeypatch):
    memory, ends, laid, seen = {}, PathEnds(), JoinedLegs(), []
    lay = joined._laid
    monkeypatch.setattr(joined, "_laid", lambda legs, frame: seen.append(len(legs)) or lay(legs, frame))
    for path in (PATH, EDITS["moved in the middle"]):
        flight = plan(path=path)
        build_track(flight, mapped, memory, None, ends.of(flight, mapped), laid)
    assert seen == [len(PATH) - 1, 2]


THINGS = [object() for _ in range(3)]
ROWS = st.lists(st.sampled_from(THINGS), max_size=6)


@settings(max_examples=60)
@given(ROWS, ROWS)
def test_what_is_the_same_at_both_ends_is_counted_once(before, after):
    head, tail = unchanged_ends(before, after)
    assert head + tail <= min(len(before), len(after))
    assert before[:head] == after[:head]
    assert before[len(before) - tail :] == after[len(after) - tail :]
    middles = before[head : len(before) - tail], after[head : len(after) - tail]
    if all(middles):
        assert middles[0][0] is not middles[1][0]
        assert middles[0][-1] is not middles[1][-1]
