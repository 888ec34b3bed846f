"""A return on lost link from anywhere in an area: its gusts and its battery, with figures put in by hand.

That no stop rests on an assumed figure, and that a return which gusts alone forbid is one, are our own rules
(issue 4); the energies are shares of what the pack gives.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.flight.failsafe import Failsafe
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules import area_loss
from planner.rules.area_loss import charge_lets_it, gusts_let_it
from planner.rules.finding import Mark
from planner.rules.stretches import place_at
from tests.rules.hand_made import complete
from tests.rules.test_area_battery_by_hand import CASE, USABLE_WH, charged

PLACES = complete().track
SAID = Failsafe.of(LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, None, None, None, 10.0, 3.0, 2.0))
NOT_SAID = Failsafe.of(LinkLoss(LinkLossAction.RETURN_FIXED))


def lost(*in_gusts, mean=(), failsafe=SAID):
    """A return that makes no headway from some samples."""
    masks = [np.zeros(len(PLACES), dtype=bool) for _ in range(2)]
    for mask, at in zip(masks, (in_gusts, mean), strict=True):
        mask[list(at)] = True
    duration_s = np.arange(len(PLACES), dtype=float) * 10.0
    # What blows for a minute forbids it as well, unless a test says otherwise.
    lasting_s = np.where(masks[0], np.inf, 10.0)
    return SimpleNamespace(
        blown_in_gusts=masks[0],
        blown_away=masks[1],
        failsafe=failsafe,
        duration_s=duration_s,
        lasting_s=lasting_s,
    )


def in_gusts_of(*losses, gust_mps=11.0, airspeed_mps=15.0):
    places = tuple(PLACES for _ in losses)
    flown = SimpleNamespace(
        losses=losses,
        places=places,
        airspeed_mps=airspeed_mps,
        gust_mps=gust_mps,
        wind_mps=5.0,
        weather=SimpleNamespace(wind_source="typed"),
    )
    return list(gusts_let_it(attrs.evolve(CASE, area_flight=flown)))


def test_a_return_that_gusts_forbid_is_a_stop_from_where_it_is_lost():
    (one,) = in_gusts_of(lost(), lost(2, 3))
    assert (one.mark, one.rule) == (Mark.STOP, "link-loss-blown-in-gusts")
    assert one.message.startswith("Lost low in the area: its return flies 19.4 kt through the air")
    assert one.place == place_at(PLACES, 2)
    (one,) = in_gusts_of(lost(1), lost(2))
    assert one.message.startswith("Lost at the area's top")
    (one,) = in_gusts_of(lost(1, failsafe=NOT_SAID))
    assert one.mark is Mark.UNKNOWN
    passing = lost(1)
    passing.lasting_s = np.full(len(PLACES), 10.0)
    (one,) = in_gusts_of(passing)
    assert (one.mark, "Gusts let up" in one.message) == (Mark.ACT, True)


@pytest.mark.parametrize(
    ("losses", "winds"),
    [
        ((lost(), lost()), {}),
        ((lost(1, mean=(1,)),), {}),  # the mean wind forbids it: told as that
        ((lost(1), lost(2, mean=(3,))), {}),
        ((lost(1),), {"gust_mps": 15.0}),  # the aircraft itself makes no headway
        ((lost(1),), {"gust_mps": 16.0}),
    ],
)
def test_what_is_told_otherwise_is_not_told_again(losses, winds):
    assert not in_gusts_of(*losses, **winds)


def test_without_an_airspeed_the_return_is_asked_all_the_same():
    assert len(in_gusts_of(lost(1), airspeed_mps=None, gust_mps=16.0)) == 1
    assert not list(gusts_let_it(attrs.evolve(CASE, area_flight=None)))


# ---- its battery


@pytest.fixture
def found(monkeypatch):
    """What is told of a return that takes so much of the pack, in the mean wind and in gusts."""

    def told(takes, gusty=0.0, *, lasting=None, failsafe=SAID, surely=None, case=None, **charge):
        mean, blown, lasts = (lost(failsafe=failsafe) for _ in range(3))
        shares = {id(mean): takes, id(blown): gusty, id(lasts): gusty if lasting is None else lasting}

        def dearest(places, losses, _model):
            share = shares[id(losses[0])]
            place = 3 if losses[0] is lasts and lasting is not None else 2
            return None if share is None else (share * USABLE_WH, PLACES, losses[0], place)

        monkeypatch.setattr(area_loss, "dearest_return", dearest)
        monkeypatch.setattr(area_loss, "in_gusts", lambda _loss: blown)
        monkeypatch.setattr(area_loss, "in_lasting_wind", lambda _loss: lasts)
        monkeypatch.setattr(area_loss, "as_said", lambda loss: loss)
        sure = takes if surely is None else surely
        monkeypatch.setattr(
            area_loss, "return_wh", lambda *_: np.full(len(PLACES), (sure or 0.0) * USABLE_WH)
        )
        flown = charged(out=0.25, **charge) if case is None else case
        flown = attrs.evolve(
            flown, area_flight=attrs.evolve(flown.area_flight, losses=(mean,), places=(PLACES,))
        )
        return list(charge_lets_it(flown))

    return told


@pytest.mark.parametrize(
    ("takes", "rules"),
    [
        (0.4, []),
        (0.5, []),  # the reserve itself is left
        (0.51, [("link-loss-under-reserve", Mark.ACT)]),
        (0.74, [("link-loss-under-reserve", Mark.ACT)]),
        (0.75, [("link-loss-empty", Mark.STOP)]),
        (0.9, [("link-loss-empty", Mark.STOP)]),
        (None, []),
    ],
)
def test_what_a_return_leaves_of_the_battery(found, takes, rules):
    told = found(takes)
    assert [(one.rule, one.mark) for one in told] == rules
    for one in told:
        assert one.numbers["left"] == pytest.approx(0.75 - takes)
        assert "takes 20 s " in one.message


@pytest.mark.parametrize(
    ("takes", "gusty", "rules"),
    [
        (0.4, 0.5, []),
        (0.4, 0.51, [("link-loss-in-gusts", Mark.ACT)]),
        (0.4, 0.75, [("link-loss-in-gusts", Mark.STOP)]),
        (0.6, 0.7, [("link-loss-under-reserve", Mark.ACT)]),
        (0.6, 0.8, [("link-loss-in-gusts", Mark.STOP), ("link-loss-under-reserve", Mark.ACT)]),
        (0.8, 0.9, [("link-loss-empty", Mark.STOP)]),
        (0.4, None, []),
    ],
)
def test_gusts_are_told_where_the_mean_wind_tells_less(found, takes, gusty, rules):
    assert [(one.rule, one.mark) for one in found(takes, gusty)] == rules


@pytest.mark.parametrize(
    ("gusty", "lasting", "told"),
    [
        # From some of the area gusts leave no headway: from there what blows for a minute counts.
        (0.45, 0.75, (Mark.STOP, 3, 0.0)),
        (None, 0.75, (Mark.STOP, 3, 0.0)),
        (0.45, 0.74, None),
        (None, 0.74, None),
        (0.9, 0.8, (Mark.STOP, 2, -0.15)),
    ],
)
def test_what_lasts_counts_wherever_gusts_leave_no_headway(gusty, lasting, told, found):
    got = found(0.4, gusty, lasting=lasting)
    assert bool(got) is (told is not None)
    for one in got:
        mark, place, left = told
        assert (one.rule, one.mark, one.place) == ("link-loss-in-gusts", mark, place_at(PLACES, place))
        assert one.numbers["left"] == pytest.approx(left)
        assert one.title == "In gusts all the way its return empties the battery"


def test_a_stop_that_only_assumed_figures_make_is_open(found):
    (one,) = found(0.8, failsafe=NOT_SAID, surely=0.7)
    assert one.mark is Mark.UNKNOWN
    (one,) = found(0.8, failsafe=NOT_SAID, surely=0.75)
    assert one.mark is Mark.STOP
    (one,) = found(0.4, 0.8, failsafe=NOT_SAID)
    assert one.mark is Mark.UNKNOWN


def test_where_the_way_home_is_told_already_or_is_not_known_nothing_is_told_here(found):
    assert found(0.8)
    assert not found(0.8, home=np.inf)
    assert not found(0.8, home=0.6)  # at once home it lands under the reserve: told as that
    assert not found(0.8, case=attrs.evolve(charged(out=0.25), flight=SimpleNamespace()))
    without = charged(out=0.25)
    without = attrs.evolve(without, area_flight=attrs.evolve(without.area_flight, charge=None))
    assert not found(0.8, case=without)
    assert not list(charge_lets_it(attrs.evolve(without, area_flight=None)))
