"""From which samples an aircraft that has lost its link comes down on a thing: impacts put in by hand.

Two places of impact for each of five samples, 10 m apart northward; what is met between two counts for
both, our own rule (issue 4). The thing is a strip of 1 m, widened by 2 m for the aircraft's size and place.
"""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.plan.aircraft import LinkLossAction
from planner.rules import loss_reached

# East and north of each sample's two impacts: (100, 200), (100, 210) ... and 30 m east of them.
IMPACTS = np.array([[(100.0, 200.0 + 10 * k), (130.0, 200.0 + 10 * k)] for k in range(5)])


@pytest.fixture
def met(monkeypatch):
    beneath = SimpleNamespace(terminal_mps=9.0, zone=SimpleNamespace(grown_m=2.0))
    flight = SimpleNamespace(beneath=beneath, winds=())

    def asked(west, south, east, north, places=IMPACTS):
        monkeypatch.setattr(loss_reached, "places_of_impact", lambda *_: places)
        thing = SimpleNamespace(shape=shapely.box(west, south, east, north))
        return loss_reached.reached(flight, None, thing).tolist()

    return asked


@pytest.mark.parametrize(
    ("strip", "samples"),
    [
        ((110, 214, 120, 215), [1, 2]),
        ((110, 201, 120, 202), [0, 1]),
        ((110, 236, 120, 237), [3, 4]),
        ((110, 241, 120, 242), [3, 4]),  # 1 m beyond the last
        ((110, 243, 120, 244), []),
        ((110, 195, 120, 197), []),
        ((131, 214, 140, 215), [1, 2]),
        ((133, 214, 140, 215), []),
        ((90, 214, 97, 215), []),
        ((90, 214, 99, 215), [1, 2]),
        ((214, 110, 215, 120), []),  # east taken for north
    ],
)
def test_who_comes_down_on_it_or_passes_it_between_two_samples(met, strip, samples):
    assert met(*strip) == [k in samples for k in range(5)]


@pytest.mark.parametrize(("gone", "samples"), [(0, [2, 3]), (1, [2, 3]), (2, []), (3, [])])
def test_a_sample_whose_impact_is_nowhere_has_none_between(met, gone, samples):
    """Of the strip between the samples 2 and 3 each of them is needed; the others are not."""
    places = IMPACTS.copy()
    places[gone, 1, 0] = np.nan
    assert met(110, 224, 120, 225, places) == [k in samples for k in range(5)]


@pytest.fixture
def flight(monkeypatch):
    """A flight of five samples; places of impact are the given ones."""
    monkeypatch.setattr(loss_reached, "places_of_impact", lambda *_: IMPACTS)
    zone = SimpleNamespace(grown_m=2.0, height_m=np.zeros(5))
    return SimpleNamespace(beneath=SimpleNamespace(terminal_mps=9.0, slowest_mps=5.0, zone=zone), winds=(1,))


STRIP = SimpleNamespace(shape=shapely.box(110, 214, 120, 215))


@pytest.mark.parametrize(
    ("actions", "samples"),
    [
        ((LinkLossAction.LAND,), [1, 2]),
        # A return ends at home, however fast it was; another wind's landing does not.
        ((LinkLossAction.RETURN_FIXED,), []),
        ((LinkLossAction.RETURN_FIXED, LinkLossAction.DROP), [1, 2]),
        ((), []),
    ],
)
def test_as_fast_as_may_be_only_what_stays_comes_down_on_it(flight, actions, samples):
    flight.fast_losses = [SimpleNamespace(failsafe=SimpleNamespace(action=one)) for one in actions]
    assert np.flatnonzero(loss_reached.may_come_to(flight, STRIP)).tolist() == samples


def test_where_wind_may_carry_it_is_asked_where_that_is_open_alone(flight, monkeypatch):
    monkeypatch.setattr(loss_reached, "drift_is_open", lambda _plan: True)
    loss = SimpleNamespace(unknown=np.zeros(5, dtype=bool))
    for widest, winds, samples in ((IMPACTS, (1,), [1, 2]), (None, (1,), []), (IMPACTS, (), [])):
        monkeypatch.setattr(loss_reached, "widest_impact", lambda *_, found=widest: found)
        flight.winds = winds
        assert np.flatnonzero(loss_reached.may_reach(None, flight, loss, STRIP)).tolist() == samples
