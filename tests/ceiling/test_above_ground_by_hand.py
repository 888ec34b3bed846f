"""The least height above ground that bounds something about places: limits and records put in by hand (m).

The limit on height is 400 ft, 121.92 m (14 CFR 107.51(b), check values 1.1). That an agency, or the
authority, is asked for the greatest height of all that is flown, however low, is our own rule.
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.ceiling import above_ground as rule
from planner.ceiling.above_ground import least_room_m, tops_above_ground
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind, LimitReference, VerticalLimit
from tests import worlds
from tests.worlds import sea_level, volume

D, E4, R = AirspaceKind.CLASS_D, AirspaceKind.CLASS_E4, AirspaceKind.RESTRICTED
TO_GROUND, OVER_GROUND = sea_level(0.0), worlds.above_ground(80.0)
X_M, Y_M = np.array([0.0, 100.0]), np.array([5.0, 50.0])


def least(monkeypatch, *airspace, near=None, needed=(), sites=(), places=(X_M, Y_M), active=True, **papers):
    """The least height, where airspace in the first columns is about, and records open some of it so high."""

    def grants(heights):
        return lambda _volume, _plan, _mapped: tuple(
            SimpleNamespace(record=SimpleNamespace(ceiling=one)) for one in heights
        )

    def columns_near(box):
        assert box.tolist() == [0.0, 5.0, 100.0, 50.0]
        return range(len(airspace)) if near is None else near

    monkeypatch.setattr(rule, "needed_agl_m", lambda _scene: dict(enumerate(needed)))
    monkeypatch.setattr(rule, "grants_for", grants(papers.get("records", ())))
    monkeypatch.setattr(rule, "answers_on", grants(papers.get("answers", ())))
    monkeypatch.setattr(rule, "is_active", lambda _volume, _window: active)
    monkeypatch.setattr(rule, "inquired_of", lambda one, _purpose: one.kind is E4)
    mapped = SimpleNamespace(
        airspace=dict(enumerate(airspace)),
        outlines=SimpleNamespace(columns_near=columns_near),
        sites={k: SimpleNamespace(ceiling_agl_m=one) for k, one in enumerate(sites)},
    )
    scene = SimpleNamespace(mapped=mapped, plan=SimpleNamespace(window=None, purpose=None))
    return least_room_m(scene, *places)


@pytest.mark.parametrize(
    ("given", "least_m"),
    [
        ({}, GROUND_LIMIT_M),
        ({"needed": (60.0, 40.0)}, 40.0),
        ({"needed": (60.0, math.nan)}, 60.0),
        ({"sites": (None, 90.0)}, 90.0),
        ({"sites": (None,)}, GROUND_LIMIT_M),
        ({"sites": (300.0,)}, GROUND_LIMIT_M),
    ],
)
def test_without_airspace_about(given, least_m, monkeypatch):
    assert least(monkeypatch, **given) == least_m


@pytest.mark.parametrize(
    ("kind", "floor", "given", "least_m"),
    [
        (D, TO_GROUND, {}, GROUND_LIMIT_M),
        (D, OVER_GROUND, {}, 80.0),
        (D, OVER_GROUND, {"near": ()}, GROUND_LIMIT_M),
        (D, TO_GROUND, {"records": (AboveGround(50.0), AboveGround(70.0))}, 50.0),
        (D, TO_GROUND, {"records": (AboveSeaLevel(50.0),)}, GROUND_LIMIT_M),
        (D, TO_GROUND, {"answers": (AboveGround(55.0),)}, 55.0),
        (D, TO_GROUND, {"answers": (AboveGround(55.0),), "near": ()}, GROUND_LIMIT_M),
        # Who is asked for the greatest height of all that is flown is asked for any.
        (R, TO_GROUND, {}, 0.0),
        (R, TO_GROUND, {"active": False}, GROUND_LIMIT_M),
        (R, TO_GROUND, {"near": ()}, GROUND_LIMIT_M),
        (E4, TO_GROUND, {}, 0.0),
        (E4, TO_GROUND, {"active": False}, GROUND_LIMIT_M),
    ],
)
def test_of_airspace_about(kind, floor, given, least_m, monkeypatch):
    assert least(monkeypatch, volume(kind, floor=floor), **given) == least_m


def test_of_places_of_which_some_are_not_known_the_others_count(monkeypatch):
    some = np.array([0.0, np.nan, 100.0]), np.array([5.0, np.nan, 50.0])
    assert least(monkeypatch, volume(R), places=some) == 0.0


def test_tops_that_count_from_the_ground():
    tops = {
        1: sea_level(500.0),
        2: worlds.above_ground(100.0),
        3: VerticalLimit(LimitReference.SURFACE),
    }
    mapped = SimpleNamespace(
        airspace={k: attrs.evolve(volume(D), top=top) for k, top in tops.items()},
        outlines=SimpleNamespace(polygon=lambda column: f"outline {column}"),
    )
    assert tops_above_ground(SimpleNamespace(mapped=mapped)) == ["outline 2", "outline 3"]
