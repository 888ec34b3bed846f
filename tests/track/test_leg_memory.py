"""Legs are sampled once: an edit of a long path costs what it changes, and Undo and Redo find theirs."""

import attrs
import pytest

from planner.assess import Memory, assess_live
from planner.geo.heights import AboveGround
from planner.track import build
from tests.worlds import plan, points, world

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
