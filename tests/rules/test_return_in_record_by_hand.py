"""How near what is done on lost link comes to where a record ends: ways, covers and answers put in by hand.

Within 8 m of what only an agency opens nobody can say where it is: satellites, our own rule as of a path.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.flight.upright import Upright
from planner.plan.aircraft import LinkLossAction
from planner.rules import return_in_record as rule
from planner.rules.beside import Beside
from planner.rules.beside_record import Inside
from planner.rules.return_in_record import _held_on_lost_link, _nearest, _nearest_down, _nearest_of_return
from planner.rules.return_in_record import return_close_to_the_end_of_a_record as told_of
from planner.world.airspace import AirspaceKind

BACK, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND
R, D = (SimpleNamespace(kind=kind) for kind in (AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D))
SKY = SimpleNamespace(airspace={7: R, 8: D, 9: R})


def put_in(monkeypatch, **answers):
    for name, one in answers.items():
        monkeypatch.setattr(rule, name, one)


def inside(away_m):
    return None if away_m is None else Inside("", away_m, None)


# ---- what is told


def told(monkeypatch, near_m, flown_m, columns=(7,), also=()):
    """What is told where ways come so near in each column, and the flight; `also` on lost link alone."""
    given = {
        "held_on_record": lambda _case: [(columns, "A1")] if columns else [],
        "_held_on_lost_link": lambda _case, _mapped: [(also, "A2")] if also else [],
        "opened_of": lambda _case, _mapped, column: column,
        "losses_of": lambda _case: [(0, True)],
        "_nearest": lambda column, _loss: inside(near_m.get(column)),
        "nearest_inside": lambda _case, _mapped, column: inside(flown_m.get(column)),
        "close_to_end": lambda _case, volume, near, records: (volume, near.away_m, records),
    }
    put_in(monkeypatch, **given)
    return list(told_of(SimpleNamespace(mapped=SKY)))


@pytest.mark.parametrize(
    ("column", "near_m", "flown_m", "is_told"),
    [
        (7, 3.0, None, True),
        (7, 3.0, 20.0, True),  # open, while the flight itself leaves it something to do
        (7, 3.0, 4.0, False),
        (7, 10.0, 20.0, False),
        (7, 10.0, 4.0, False),
        (7, 10.0, None, True),
        (8, 3.0, 20.0, False),  # never open in what the authority opens
        (8, 3.0, None, True),
        (7, 0.0, None, False),  # on the end, which is told as outside
        (7, None, None, False),
    ],
)
def test_what_the_flight_itself_leaves_less_open_is_told(column, near_m, flown_m, is_told, monkeypatch):
    found = told(monkeypatch, {column: near_m}, {column: flown_m}, (column,))
    assert found == ([(SKY.airspace[column], near_m, "A1")] if is_told else [])


def test_of_what_one_record_opens_one_place_is_told_and_of_others_theirs(monkeypatch):
    near = {7: 0.0, 8: 5.0, 9: 4.0}
    assert told(monkeypatch, near, {}, (7, 8, 9)) == [(D, 5.0, "A1")]
    assert told(monkeypatch, near, {}, (7, 8), (9,)) == [(D, 5.0, "A1"), (R, 4.0, "A2")]
    assert told(monkeypatch, near, {8: 3.0}, (7, 8, 9)) == [(R, 4.0, "A1")]
    assert not list(told_of(SimpleNamespace(mapped=None)))


# ---- what only ways on lost link enter


def test_what_only_ways_on_lost_link_enter_with_leave(monkeypatch):
    grant = SimpleNamespace(record="A1")
    put_in(
        monkeypatch,
        held_on_record=lambda _case: [((1,), "A0")],
        losses_of=lambda _case: [("one", True), ("other", False)],
        near_ways=lambda _mapped, loss: [1, 3, 2] if loss == "one" else [2, 4, 5, 6, 7],
        closes_or_asks=lambda _case, volume: volume != "warning",
        opened_of=lambda _case, _mapped, column: SimpleNamespace(
            grants=() if column == 4 else (grant, grant)
        ),
        comes_into=lambda _case, column, _volume: column != 5,
    )
    sky = {1: "held", 2: "shut", 3: "shut", 4: "no record", 5: "not entered", 6: "warning"}
    found = list(_held_on_lost_link(None, SimpleNamespace(airspace=sky)))
    assert found == [((2,), ("A1", "A1")), ((3,), ("A1", "A1"))]


# ---- how near


def test_a_return_and_what_stays_are_asked_each_as_it_is_flown(monkeypatch):
    home, downs = Beside("home", 9.0, "there", 1.0), [Beside("down", m, "here", 1.0) for m in (6.0, 4.0, 5.0)]
    put_in(monkeypatch, ways_down=lambda _loss: "down", _nearest_of_return=lambda _opened, _loss: home)
    put_in(monkeypatch, _nearest_down=lambda _opened, down: downs if down == "down" else [])
    back, stays = (SimpleNamespace(failsafe=SimpleNamespace(action=action)) for action in (BACK, LAND))
    assert _nearest(None, back) == Inside("home", 9.0, "there")
    assert _nearest(None, stays) == Inside("down", 4.0, "here")
    put_in(monkeypatch, _nearest_of_return=lambda *_: None, _nearest_down=lambda *_: [])
    assert _nearest(None, back) is _nearest(None, stays) is None


@attrs.frozen(eq=False)
class Samples:
    """Places, and up to what height they are flown."""

    places: np.ndarray
    planned_amsl_m: np.ndarray


@attrs.frozen(eq=False)
class Opened:
    """Two records, up to 50 m and 100 m; what lies beyond is told by which of them count."""

    mapped: object = SKY
    column: int = 7

    def high_enough(self, samples):
        return samples.planned_amsl_m <= np.array([[50.0], [100.0]])

    def all_along(self, samples):
        return self.high_enough(samples).all(axis=1)

    def beyond(self, counts):
        return tuple(counts.tolist()) if counts.any() else None


def asked(monkeypatch):
    seen = []

    def sampled(_mapped, places, high_m, _low_m=None):
        seen.append(places.tolist())
        return Samples(places, high_m)

    put_in(monkeypatch, sample_way=sampled)
    return seen


def returning(heights_m, x_m=(0.0, 10.0)):
    n = len(heights_m)
    return SimpleNamespace(
        corner_x_m=np.array([x_m] * n), corner_y_m=np.zeros((n, 2)), corner_amsl_m=np.array(heights_m)
    )


@pytest.mark.parametrize(
    ("heights_m", "beyond"),
    [
        ([[20.0, 40.0], [30.0, 45.0]], (True, True)),
        ([[20.0, 40.0], [30.0, 80.0]], (False, True)),  # of the highest only the higher record counts
        ([[80.0, 20.0], [30.0, 40.0]], (False, True)),
        ([[20.0, 120.0], [30.0, 40.0]], None),  # above both: told as outside
        ([[np.nan, np.nan], [30.0, 80.0]], (False, True)),  # one whose height nobody knows hides no other
    ],
)
def test_a_return_is_held_to_the_records_that_allow_the_highest(heights_m, beyond, monkeypatch):
    asked(monkeypatch)
    put_in(monkeypatch, nearest_of_return=lambda _mapped, _loss, shape, volume: (shape, volume))
    expected = None if beyond is None else (beyond, R)
    assert _nearest_of_return(Opened(), returning(heights_m)) == expected


def test_of_a_return_the_places_that_are_known_are_asked(monkeypatch):
    seen = asked(monkeypatch)
    put_in(monkeypatch, nearest_of_return=lambda *_: None)
    loss = returning([[20.0, 40.0]], (np.nan, 10.0))
    loss.corner_y_m[0, 1] = 5.0
    _nearest_of_return(Opened(), loss)
    assert seen == [[[10.0, 5.0]]]


def test_what_comes_down_is_asked_in_parts_that_the_same_records_allow(monkeypatch):
    """What it passes above the airspace, which goes up to 70 m, takes no record."""
    asked(monkeypatch)
    parts = []
    put_in(
        monkeypatch,
        top_amsl_m=lambda _volume, samples: np.full(len(samples.places), 70.0),
        nearest_down=lambda _mapped, part, beyond, volume: parts.append((part, beyond, volume)) or beyond,
    )
    down = Upright(
        owner=np.arange(5),
        x_m=np.array([0.0, 1.0, np.nan, 3.0, 4.0]),
        y_m=np.array([5.0, 6.0, 7.0, 8.0, np.nan]),
        low_m=np.array([10.0, 11.0, 12.0, 13.0, 14.0]),
        high_m=np.array([40.0, 150.0, 40.0, 45.0, 40.0]),
    )
    assert list(_nearest_down(Opened(), down)) == [(False, True), (True, True)]
    (high, beyond, volume), (low, _, _) = parts
    assert (beyond, volume) == ((False, True), R)
    for part, rows in ((high, [1]), (low, [0, 3])):
        for name in ("owner", "x_m", "y_m", "low_m", "high_m"):
            assert getattr(part, name).tolist() == getattr(down, name)[rows].tolist(), name
    put_in(monkeypatch, nearest_down=lambda _mapped, part, *_: None if part.owner[0] == 1 else part)
    assert [part.owner.tolist() for part in _nearest_down(Opened(), down)] == [[0, 3]]
