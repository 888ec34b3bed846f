"""The answer on a flight with figures put in by hand, so that a test of the rules knows what holds where."""

from functools import lru_cache

import attrs
import numpy as np

from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import Battery, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.case import Case
from tests.rules.hand_made import judged
from tests.worlds import plan

ABLE = Performance(hover_w=180.0, cruise_w=200.0, cruise_mps=15.0, highest_mps=20.0)
PACK = Battery("LiPo", 6, 1_300.0)
FIXED = LinkLoss(LinkLossAction.RETURN_FIXED, 2.0, AboveLaunch(60.0))
VIDEO = Radio(
    RadioUse.VIDEO, 5_800.0, 25.0, analog=True, ground_gain_dbi=5.0, air_gain_dbi=2.0, sensitivity_dbm=-90.0
)
CONTROL = attrs.evolve(VIDEO, use=RadioUse.CONTROL, frequency_mhz=2_400.0, analog=None)
WIND = PlannedWeather(wind=TypedWind(3.0, 270.0, None, 10.0))


@lru_cache(maxsize=1)
def complete() -> Case:
    """A flight of one kilometre of which all figures are given, over level ground in 3 m/s from the west."""
    aircraft = attrs.evolve(
        plan().aircraft, performance=ABLE, battery=PACK, link_loss=FIXED, radios=(VIDEO, CONTROL)
    )
    return judged(plan(aircraft=aircraft, weather=WIND))


def at(*samples: int) -> np.ndarray:
    """A mask that holds at some samples of the path."""
    assert complete().track is not None
    mask = np.zeros(len(complete().track), dtype=bool)
    mask[list(samples)] = True
    return mask


def row(rest: float, values: dict[int, float] | None = None) -> np.ndarray:
    """A figure for each sample: one for all but some."""
    assert complete().track is not None
    made = np.full(len(complete().track), float(rest))
    for sample, value in (values or {}).items():
        made[sample] = value
    return made


def flown(aircraft: dict | None = None, case: dict | None = None, **flight: object) -> Case:
    """The complete case, changes of its aircraft, of itself, and of the answer on its flight."""
    base = complete()
    changed = attrs.evolve(base.plan.aircraft, **(aircraft or {}))
    base = attrs.evolve(base, plan=attrs.evolve(base.plan, aircraft=changed))
    base = attrs.evolve(base, flight=attrs.evolve(base.flight, **flight))
    return attrs.evolve(base, **(case or {}))
