"""Legs are sampled once: an edit of a long path costs what it changes, and Undo and Redo find theirs."""

import attrs
import numpy as np
import pytest

from planner.assess import Memory, assess_live, legs_to_judge
from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.geometry import Leg, LegShape
from planner.plan.ground import GroundSpot
from planner.track import build
from planner.track.build import leg_ends
from planner.track.mapped import map_world
from planner.track.path_ends import PathEnds
from planner.track.sampling import sample_legs
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import HERE, disc, plan, points, sea_level, tower, volume, world

FRAME = LocalFrame(HERE)

MANY = 30


@pytest.fixture
def sampled(monkeypatch):
    """Count the legs that are sampled; few are kept for their own sake."""
    monkeypatch.setattr(build, "_KEPT_LEGS", 10)
    found, sample = [], build.sample_legs

    def counting(*args):
        found.extend(args[0])
        return sample(*args)

    monkeypatch.setattr(build, "sample_legs", counting)
    return found


def lifted(path, index, metres):
    return (*path[:index], attrs.evolve(path[index], height=AboveGround(metres)), *path[index + 1 :])


def test_of_a_path_longer_than_what_is_kept_only_what_changes_is_sampled_anew(sampled):
    charts, memory = world(), Memory()
    path = points([(20.0 * k, 0, AboveGround(30.0)) for k in range(MANY)])
    first = assess_live(plan(path=path), charts, memory)
    assert len(sampled) == MANY - 1
    for step in range(1, 60):
        sampled.clear()
        moved = assess_live(plan(path=lifted(path, 7, 30.0 + step)), charts, memory)
        assert len(sampled) <= 2  # the legs on either side
        assert len(memory.legs) <= 4 * (MANY - 1) + 2
    assert moved.track.planned_amsl_m.max() > first.track.planned_amsl_m.max()


def test_undo_and_redo_of_the_whole_path_sample_nothing(sampled):
    charts, memory = world(), Memory()
    there = points([(20.0 * k, 0, AboveGround(30.0)) for k in range(MANY)])
    back = tuple(reversed(there))
    fresh = [assess_live(plan(path=path), charts) for path in (there, back)]
    for path in (there, back):
        assess_live(plan(path=path), charts, memory)
    sampled.clear()
    for path, alone in zip((there, back), fresh, strict=True):
        again = assess_live(plan(path=path), charts, memory)
        assert (again.track.planned_amsl_m == alone.track.planned_amsl_m).all()
        assert again.findings == alone.findings
    assert sampled == []


def test_legs_over_unknown_ground_are_found_again_too(sampled):
    """Heights that are not known are no number; they must not make each leg a new one (our own rule)."""
    charts, memory = attrs.evolve(world(), terrain=None), Memory()
    path = points([(20.0 * k, 0, AboveGround(30.0)) for k in range(MANY)])
    assess_live(plan(path=path), charts, memory)
    assert len(sampled) == MANY - 1
    sampled.clear()
    assess_live(plan(path=lifted(path, 7, 40.0)), charts, memory)
    assert len(sampled) == 2
    assert legs_to_judge(plan(path=path), charts, memory) == 0


@pytest.mark.parametrize("where", ["path", "launch", "chart"])
def test_ends_of_legs_that_are_handed_on_are_those_made_anew(where):
    """A random row of edits, each against ends made without any memory (our own rule)."""
    random = np.random.default_rng(8)
    charts, known = world(), PathEnds()
    mapped = map_world(charts, (), FRAME)
    flight = plan(path=points([(20.0 * k, 5.0 * k, AboveLaunch(30.0 + k)) for k in range(MANY)]))
    for _ in range(30):
        path = list(flight.path)
        at, other = random.integers(0, len(path), 2)
        match int(random.integers(0, 5)):
            case 0:
                path[at] = attrs.evolve(path[at], height=AboveGround(float(random.uniform(5, 90))))
            case 1:
                path[at], path[other] = path[other], path[at]
            case 2:
                path.insert(at, path[other])
            case 3 if len(path) > 5:
                del path[at]
            case _:
                path = [attrs.evolve(point, leg=Leg(LegShape.FOLLOW_GROUND)) for point in reversed(path)]
        flight = attrs.evolve(flight, path=tuple(path))
        if where == "launch":
            flight = attrs.evolve(flight, launch=GroundSpot(worlds.at(*random.uniform(-200, 200, 2))))
        if where == "chart":
            mapped = map_world(charts, (), FRAME)
        ends, launch_m = known.of(flight, mapped)
        assert ends == leg_ends(flight.path, mapped.frame, mapped.ground, launch_m)
        assert known.of(flight, mapped)[0] is ends


def test_legs_sampled_together_are_the_same_to_the_last_bit_as_each_alone():
    """Our own rule: what is kept of a leg must not depend on what else was new with it."""
    charts = attrs.evolve(
        world(),
        terrain=worlds.terrain(
            lambda east, north: 40 + 12 * np.sin(east / 70) + 9 * np.cos(north / 50),
            cell_m=10,
            horizontal_uncertainty_m=6.0,
        ),
        airspace=(
            volume(AirspaceKind.CLASS_C, disc(170, (-40, 30)), sea_level(65), sea_level(90), name="C"),
            volume(AirspaceKind.RESTRICTED, worlds.box(-20, -90, 60, 200), name="R"),
        ),
        structures=(tower(90, (-120, 40), key="t"),),
    )
    draw = np.random.default_rng(4)
    corners = draw.uniform(-300, 300, (14, 2)).tolist()
    corners[5] = corners[4]  # straight up
    kinds = (AboveGround(45.0), AboveSeaLevel(70.0), AboveLaunch(30.0))
    path = tuple(
        attrs.evolve(point, leg=Leg(shape=list(LegShape)[k % 2]))
        for k, point in enumerate(points([(*xy, kinds[k % 3]) for k, xy in enumerate(corners)]))
    )
    for terrain in (charts.terrain, None):
        mapped = map_world(attrs.evolve(charts, terrain=terrain), (), FRAME)
        ends = leg_ends(path, FRAME, mapped.ground, 20.0)
        together = sample_legs(ends, mapped)
        assert max(len(leg.inside) for leg in together) > 2
        for one, leg in zip(ends, together, strict=True):
            (alone,) = sample_legs([one], mapped)
            for field in attrs.fields(type(leg)):
                np.testing.assert_array_equal(getattr(leg, field.name), getattr(alone, field.name))
