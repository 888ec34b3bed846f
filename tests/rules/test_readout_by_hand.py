"""What is told of the height that the goggles show, and where along a path something holds, put in by hand.

That whoever keeps to a figure must be able to fly the path as drawn is design of the program.
"""

import attrs
import numpy as np
import pytest

from planner.geo.heights import AboveGround
from planner.plan.aircraft import Readout, ReadoutSource, ReadoutUnit
from planner.rules import readout
from planner.rules.readout import error_not_given, over_the_figure, uncertain
from planner.rules.stretches import Stretch, place_at, stretches
from tests.rules.hand_made import complete
from tests.worlds import area, box

CASE = complete()
TRACK = CASE.track
N = len(TRACK)
AREA = area(box(-50, -50, 50, 50), AboveGround(60.0))


def shown(error_m, case=CASE, **plan):
    """A readout whose error is so much; None: there is none."""
    given = None if error_m == "none" else Readout(ReadoutSource.BAROMETER, error_m, ReadoutUnit.METRES)
    craft = attrs.evolve(case.plan.aircraft, readout=given)
    return attrs.evolve(case, plan=attrs.evolve(case.plan, **{"aircraft": craft, **plan}))


@pytest.mark.parametrize(
    ("error_m", "plan", "told"),
    [
        (3.0, {}, False),
        (0.0, {}, False),
        (None, {}, True),
        ("none", {}, True),
        (None, {"aircraft": None}, False),
        (None, {"path": ()}, False),
        (None, {"path": (), "area": AREA}, True),
        (None, {"area": AREA}, True),
    ],
)
def test_an_error_that_is_not_given_is_told_where_something_is_drawn(error_m, plan, told):
    case = shown(error_m, **plan)
    assert bool(list(error_not_given(case))) is told
    if "aircraft" not in plan:
        known = isinstance(error_m, float)
        assert ("not counted" in uncertain(case)) is not known


def row(values):
    made = np.zeros(N)
    for sample, value in values.items():
        made[sample] = value
    return made


def test_the_place_that_is_most_over_the_figure_is_told_of_each_leg(monkeypatch):
    over = row({3: 1.0, 4: 5.0, 5: 2.0, 9: 2.0}).astype(int)
    monkeypatch.setattr(readout, "units_over", lambda *_given: over)
    (first,) = over_the_figure(shown(3.0))
    assert (first.place, first.numbers) == (place_at(TRACK, 4), {"at_m": TRACK.distance_m[4], "over_m": 5.0})
    assert (first.from_m, first.to_m) == (TRACK.distance_m[3], TRACK.distance_m[9])
    assert "So it is on 2 stretches of the leg; this is the worst." in first.message
    two_legs = attrs.evolve(TRACK, leg=np.where(np.arange(N) < 9, 0, 1))
    first, second = over_the_figure(attrs.evolve(shown(3.0), track=two_legs))
    assert (first.place, first.from_m, first.to_m) == (place_at(TRACK, 4), *TRACK.distance_m[[3, 5]])
    assert (second.place, second.from_m, second.to_m) == (place_at(TRACK, 9), *TRACK.distance_m[[9, 9]])
    assert "stretches" not in first.message + second.message
    # The path is flown 30 m above its launch point: 25 m are never to be exceeded there.
    assert (
        "the goggles would show 30 m; never to be exceeded on that part of the leg are 25 m" in first.message
    )
    craft = attrs.evolve(
        shown(3.0).plan.aircraft, readout=Readout(ReadoutSource.BAROMETER, 3.0, ReadoutUnit.FEET)
    )
    (in_feet,) = over_the_figure(shown(3.0, aircraft=craft))
    # 30 m are 98.4 ft, 5 ft are 1.524 m.
    assert "would show 98 ft; never to be exceeded on that part of the leg are 93 ft" in in_feet.message
    assert in_feet.numbers["over_m"] == pytest.approx(1.524)
    assert in_feet.remedy.startswith("lower it there by 5 ft; ")
    for half in ({"track": None}, {"profile": None}):
        assert not list(over_the_figure(attrs.evolve(shown(3.0), **half)))
    for error in ("none", None):
        assert not list(over_the_figure(shown(error)))


# ---- stretches


@pytest.mark.parametrize(
    ("holds", "found"),
    [
        ((), ()),
        ((0,), ((0, 0),)),
        ((0, 1, 2), ((0, 2),)),
        ((2, 3, 7), ((2, 3), (7, 7))),
        ((0, 2, 3, N - 1), ((0, 0), (2, 3), (N - 1, N - 1))),
        (range(N), ((0, N - 1),)),
    ],
)
def test_each_run_of_samples_is_one_stretch(holds, found):
    mask = np.isin(np.arange(N), list(holds))
    assert stretches(TRACK, mask) == tuple(
        Stretch(first, last, TRACK.distance_m[first], TRACK.distance_m[last]) for first, last in found
    )
    for part in stretches(TRACK, mask):
        assert np.arange(N)[part.slice].tolist() == list(range(part.first, part.last + 1))
        assert mask[part.slice].all()
