"""Legs are sampled once: an edit of a long path costs what it changes, and Undo and Redo find theirs."""

import attrs
import numpy as np
import pytest

from planner.assess import Memory, assess_live, legs_to_judge
from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.geometry import Leg, LegShape
from planner.plan.ground import GroundSpot
from planner.track import build
from planner.track.build import leg_ends
from planner.track.mapped import map_world
from planner.track.path_ends import PathEnds
from tests import worlds
from tests.worlds import HERE, plan, points, world

FRAME = LocalFrame(HERE)

MANY = 30


@pytest.fixture
def sampled(monkeypatch):
    """Count the legs that are sampled; few are kept for their own sake."""
    monkeypatch.setattr(build, "_KEPT_LEGS", 10)
    found, sample = [], build.sample_leg

    def counting(*args):
        found.append(args[0])
        return sample(*args)

    monkeypatch.setattr(build, "sample_leg", counting)
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
