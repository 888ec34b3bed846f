"""Where it stays higher than drawn and that is above what no answer lifts: heights put in by hand (m).

Differences of heights; that the worst is told once, and only what is not told already, are our own rules.
"""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.rules import falls_over_limit as rule
from planner.rules import flown_higher, flown_over_limit
from planner.rules.falls_over_limit import above_what_no_answer_lifts
from planner.rules.flown_higher import samples_as_flown, ways_as_flown, where_higher
from planner.rules.flown_over_limit import over_height_limit
from planner.track.way_samples import WaySamples

DRAWN_M = np.array([100.0, 100.0, 100.0, 90.0, 80.0, 70.0])


class Drawn(SimpleNamespace):
    def __len__(self):
        return len(self.planned_amsl_m)


def told(monkeypatch, rows, still_m, ceiling_m, shut=(), *, falls=(), steep=(), **without):
    there = SimpleNamespace(
        ceiling=SimpleNamespace(amsl_m=np.array(ceiling_m)), from_ground=np.isin(np.arange(len(rows)), shut)
    )
    parts = []

    def found_stretches(_track, above):
        parts.append(np.flatnonzero(above).tolist())
        edges = np.flatnonzero(np.diff(np.concatenate([[False], above, [False]]).astype(int)))
        return [SimpleNamespace(first=a, last=b - 1) for a, b in edges.reshape(-1, 2)]

    for name, one in {
        "where_higher": lambda _case: without.get("higher", (np.array(rows), np.array(still_m))),
        "ways_as_flown": lambda _case: without.get("there", there),
        "falling_ground": lambda _case: falls,
        "drawn_too_steep_down": lambda _case: steep,
        "stretches": found_stretches,
        "still_above": lambda _case, _track, worst: worst,
    }.items():
        monkeypatch.setattr(rule, name, one)

    drawn = without.get("track", Drawn(planned_amsl_m=DRAWN_M))
    return list(above_what_no_answer_lifts(SimpleNamespace(track=drawn)))


@pytest.mark.parametrize(
    ("still_m", "ceiling_m", "shut", "worst"),
    [
        # Drawn are 90, 80 and 70 m. So much over 95 m, from the third sample on as drawn: (sample, part, by).
        ((98.0, 100.0, 97.0), (95.0, 95.0, 95.0), (), (4, (3, 5), 5.0)),
        ((98.0, 94.0, 99.0), (95.0, 95.0, 95.0), (), (5, (5, 5), 4.0)),
        ((99.0, 94.0, 98.0), (95.0, 95.0, 95.0), (), (3, (3, 3), 4.0)),
        ((94.0, 94.0, 94.0), (95.0, 95.0, 95.0), (), None),
        # Drawn above it itself, which is told of what is drawn.
        ((98.0, 100.0, 97.0), (85.0, 95.0, 95.0), (), (4, (4, 5), 5.0)),
        ((98.0, 100.0, 97.0), (89.999, 95.0, 95.0), (), (4, (4, 5), 5.0)),
        ((98.0, 99.0, 97.0), (90.0, 95.0, 95.0), (), (3, (3, 5), 8.0)),
        # Where nothing is open, and where nobody knows what is.
        ((98.0, 100.0, 97.0), (95.0, 95.0, 95.0), (1,), (3, (3, 3), 3.0)),
        ((98.0, 100.0, 97.0), (95.0, np.nan, 95.0), (), (3, (3, 3), 3.0)),
        ((98.0, np.nan, 97.0), (95.0, 95.0, 95.0), (), (3, (3, 3), 3.0)),
    ],
)
def test_the_sample_farthest_above_is_told(still_m, ceiling_m, shut, worst, monkeypatch):
    found = told(monkeypatch, (3, 4, 5), still_m, ceiling_m, shut)
    known = [(one.sample, (one.part.first, one.part.last), one.by_m) for one in found]
    assert known == ([] if worst is None else [worst])
    # Up to the third sample it is as high as drawn.
    assert all(one.left == 2 for one in found)


def test_below_the_sea_it_leaves_the_plan_at_the_same_place(monkeypatch):
    """Ground may lie below sea level: at Badwater 86 m (from memory)."""
    under_m = 300.0
    drawn = Drawn(planned_amsl_m=DRAWN_M - under_m)
    still_m, ceiling_m = np.array((98.0, 100.0, 97.0)) - under_m, (95.0 - under_m,) * 3
    (worst,) = told(monkeypatch, (3, 4, 5), still_m, ceiling_m, track=drawn)
    assert (worst.sample, worst.left, worst.by_m) == (4, 2, 5.0)


@pytest.mark.parametrize(
    "without",
    [{"track": None}, {"higher": None}, {"there": None}, {"falls": ("told",)}, {"steep": ("told",)}],
)
def test_what_is_flown_as_drawn_or_told_already_is_not_told(without, monkeypatch):
    assert not told(monkeypatch, (3, 4, 5), (98.0, 100.0, 97.0), (95.0,) * 3, **without)


# ---- where it stays higher


def higher(monkeypatch, still_m, *, descent_mps=3.0, own=None, **parts):
    asked = []

    def flown(_case, own_word=None):
        asked.append(own_word)
        return None if still_m is None else SimpleNamespace(still_amsl_m=np.array(still_m))

    monkeypatch.setattr(flown_higher, "flown_as", flown)
    monkeypatch.setattr(flown_higher, "own_word", lambda _case, _track: own)
    monkeypatch.setattr(flown_higher, "able_of", lambda _case: SimpleNamespace(descent_mps=descent_mps))
    drawn = Drawn(planned_amsl_m=DRAWN_M, x_m=np.arange(6) * 10.0, y_m=np.arange(6) * 7.0 + 1.0)
    return SimpleNamespace(**{"track": drawn, "mapped": "map", "plan": "plan", "uses": (), **parts}), asked


def test_where_it_stays_higher_and_how_high(monkeypatch):
    case, _ = higher(monkeypatch, (100.0, 101.0, 99.0, np.nan, 81.0, 70.5))
    rows, still_m = where_higher(case)
    assert (rows.tolist(), still_m.tolist()) == ([1, 4, 5], [101.0, 81.0, 70.5])
    assert where_higher(higher(monkeypatch, DRAWN_M)[0]) is None
    assert where_higher(higher(monkeypatch, None)[0]) is None
    assert where_higher(higher(monkeypatch, DRAWN_M + 1.0, track=None)[0]) is None


@pytest.mark.parametrize(("descent_mps", "asked_with"), [(3.0, "own word"), (None, None)])
def test_of_straight_legs_only_a_given_rate_says_that_they_are_flown_otherwise(
    descent_mps, asked_with, monkeypatch
):
    case, asked = higher(monkeypatch, DRAWN_M + 1.0, descent_mps=descent_mps, own="own word")
    assert where_higher(case) is not None
    assert asked == [asked_with]


def test_the_places_are_those_where_it_stays_higher(monkeypatch):
    monkeypatch.setattr(flown_higher, "Scene", lambda *given: given)
    monkeypatch.setattr(flown_higher, "over_ways", lambda scene, *places: (scene, *map(list, places)))
    asked = []

    def sampled(mapped, places, amsl_m):
        asked.append((mapped, places.tolist(), amsl_m.tolist()))
        return WaySamples(mapped, *places.T, amsl_m, amsl_m, amsl_m, amsl_m)

    monkeypatch.setattr(flown_higher, "sample_way", sampled)
    case, _ = higher(monkeypatch, (100.0, 101.0, 99.0, 90.0, 81.0, 70.0))
    assert ways_as_flown(case) == (("plan", "map", ()), [10.0, 40.0], [8.0, 29.0], [101.0, 81.0])
    (found,) = samples_as_flown(case)
    assert asked == [("map", [[10.0, 8.0], [40.0, 29.0]], [101.0, 81.0])]
    # Single samples: what they cover are places.
    assert found.footprint.equals(shapely.MultiPoint([(10.0, 8.0), (40.0, 29.0)]))
    assert found.where == "where the path falls faster than the aircraft sinks"
    for still_m, parts in (
        (DRAWN_M, {}),
        (DRAWN_M + 1.0, {"mapped": None}),
        (DRAWN_M + 1.0, {"track": None}),
        (None, {}),
    ):
        none, _ = higher(monkeypatch, still_m, **parts)
        assert ways_as_flown(none) is None
        assert not list(samples_as_flown(none))


# ---- above the limit on height, by airspace


def over(monkeypatch, *flown, columns=(1, 2)):
    """`flown`: heights, which of them lie in each outline, and which at each airspace's heights."""
    monkeypatch.setattr(flown_over_limit, "launch_ground_m", lambda *_: 300.0)
    monkeypatch.setattr(flown_over_limit, "at_its_height", lambda volume, one: np.array(one.at[volume]))

    def limit(samples, _plan, _mapped, *, launch_m):
        assert launch_m == 300.0
        return SimpleNamespace(amsl_m=np.full(len(samples.x_m), 120.0))

    monkeypatch.setattr(flown_over_limit, "open_limit", limit)
    samples = [
        SimpleNamespace(
            x_m=np.zeros(len(high_m)),
            planned_amsl_m=np.array(high_m),
            inside_outline=lambda column, inside=inside: np.array(inside[column]),
            at=at,
        )
        for high_m, inside, at in flown
    ]
    mapped = SimpleNamespace(frame=None, ground=None, airspace={1: 1, 2: 2})
    return over_height_limit("plan", mapped, samples, columns)


ALL = {1: (True, True), 2: (True, True)}
SECOND = {1: (False, True), 2: (True, False)}


def test_the_most_above_the_limit_in_each_airspace(monkeypatch):
    assert over(monkeypatch, ((130.0, 125.0), ALL, ALL)) == {1: 10.0, 2: 10.0}
    # In the outline only, or at its heights only, it is not in it.
    assert over(monkeypatch, ((130.0, 125.0), SECOND, ALL)) == {1: 5.0, 2: 10.0}
    assert over(monkeypatch, ((130.0, 125.0), ALL, SECOND)) == {1: 5.0, 2: 10.0}
    assert over(monkeypatch, ((130.0, 120.5), SECOND, ALL)) == {1: 0.5, 2: 10.0}
    assert over(monkeypatch, ((130.0, 119.0), SECOND, ALL)) == {2: 10.0}
    none = {1: (False, False), 2: (False, False)}
    assert over(monkeypatch, ((130.0, 125.0), none, ALL)) == {}
    assert over(monkeypatch, ((130.0, np.nan), ALL, ALL)) == {1: 10.0, 2: 10.0}
    # Of several the greatest, whichever comes first; none of no places.
    first, second = ((130.0, 125.0), ALL, ALL), ((123.0, 121.0), ALL, ALL)
    for flown in ((first, second), (second, first), (((), {}, {}), first)):
        assert over(monkeypatch, *flown) == {1: 10.0, 2: 10.0}
    assert over(monkeypatch, first, columns=()) == {}
