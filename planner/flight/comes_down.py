"""Where an aircraft that stays when its link is lost may come down, and how long it hovers until then."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from planner.flight.battery import Pack
from planner.flight.energy import Energy
from planner.flight.landing import landed_ways
from planner.flight.power import PowerModel
from planner.flight.slow_fall import Thrown, carried_ways
from planner.flight.way_home import LossWays
from planner.flight.wind import Wind
from planner.plan.aircraft import LinkLossAction
from planner.world.weather.atmosphere import GRAVITY_MPS2

Floats = NDArray[np.float64]


def fallen_m(loss: LossWays) -> Floats:
    """Return how far down it comes from where its action begins (n,) [m], NaN where ground is unknown."""
    return np.asarray(loss.corner_amsl_m[:, 2] - loss.corner_amsl_m[:, 3])


def places_of_impact(loss: LossWays, winds: Sequence[Wind], terminal_mps: float | None) -> Floats:
    """Return the plane's places between which it strikes, from each sample (n, k, 2) [m].

    What lands comes down straight, or, where it is said to use no satellite fix,
    drifts as well (`flight.landing`). What falls comes down straight, as a body
    without drag, or with the gusts of any of the winds (where the terminal speed
    is not known these are not among them); real falls lie between. All that
    begins where it has flown on in the fastest wind, or in the slowest, or between.
    """
    return _and_nearer(loss, _places(loss, winds, terminal_mps))


def _and_nearer(loss: LossWays, places: Floats) -> Floats:
    if loss.nearest_m is None:
        return places
    begin = loss.corner_x_m[:, 1], loss.corner_y_m[:, 1]
    back = np.stack([near - far for near, far in zip(loss.nearest_m, begin, strict=True)], axis=1)
    return np.concatenate([places, places + back[:, None]], axis=1)


def _places(loss: LossWays, winds: Sequence[Wind], terminal_mps: float | None) -> Floats:
    end = np.stack([loss.corner_x_m[:, 3], loss.corner_y_m[:, 3]], axis=1)
    if loss.failsafe.action is LinkLossAction.LAND and loss.failsafe.by_satellites is False:
        return _drifted(loss, winds)
    if loss.failsafe.action not in (LinkLossAction.DROP, LinkLossAction.HOLD):
        return end[:, None, :]
    begin = np.stack([loss.corner_x_m[:, 2], loss.corner_y_m[:, 2]], axis=1)
    carried = carried_ways([_thrown(loss)], winds, fallen_m(loss), terminal_mps) if terminal_mps else []
    return np.stack([begin, end, *(begin + np.nan_to_num(way, nan=0.0) for way in carried)], axis=1)


def _drifted(loss: LossWays, winds: Sequence[Wind]) -> Floats:
    begin = np.stack([loss.corner_x_m[:, 2], loss.corner_y_m[:, 2]], axis=1)
    ways = _landed_ways(loss, winds)
    return np.stack([begin, *(begin + np.nan_to_num(way, nan=0.0) for way in ways)], axis=1)


def _landed_ways(loss: LossWays, winds: Sequence[Wind]) -> list[Floats]:
    if loss.flown_mps is None or not winds:
        return []
    thrown = Thrown(*loss.flown_mps, np.zeros(len(loss.corner_x_m)))
    return landed_ways(thrown, winds, fallen_m(loss), loss.failsafe.descent_mps)


def landing_drifts_m(loss: LossWays, winds: Sequence[Wind]) -> float:
    """Return how far a landing that holds no place comes aside at the most [m]; 0 where no wind is known."""
    ways = [np.hypot(*way.T) for way in _landed_ways(loss, winds)]
    return float(np.fmax.reduce(ways, axis=None, initial=0.0)) if ways else 0.0


def _thrown(loss: LossWays) -> Thrown:
    """Return how it begins to fall: what drops goes on as it flew, what has hovered is at rest."""
    if loss.failsafe.action is not LinkLossAction.DROP:
        return Thrown.from_rest(len(loss.corner_x_m))
    falls_s = np.maximum(loss.duration_s - loss.failsafe.delay_s, 1e-9)
    ahead = loss.corner_x_m[:, 3] - loss.corner_x_m[:, 2], loss.corner_y_m[:, 3] - loss.corner_y_m[:, 2]
    climb_mps = GRAVITY_MPS2 * falls_s / 2 - fallen_m(loss) / falls_s
    east_mps, north_mps = (np.nan_to_num(way / falls_s, nan=0.0) for way in ahead)
    return Thrown(east_mps, north_mps, np.nan_to_num(climb_mps, nan=0.0))


def widest_impact(loss: LossWays, winds: Sequence[Wind], slowest_mps: float | None) -> Floats | None:
    """Return the places of `places_of_impact` at the most, where something is not said; None: all is.

    `slowest_mps`: the lowest terminal speed if no drag area is given. Of a landing: whether it uses a fix.
    """
    if loss.failsafe.action is LinkLossAction.LAND:
        return _and_nearer(loss, _drifted(loss, winds)) if loss.failsafe.by_satellites is None else None
    return places_of_impact(loss, winds, slowest_mps) if slowest_mps else None


def hovers_s(loss: LossWays, wind: Wind, energy: Energy, craft: tuple[PowerModel, Pack]) -> Floats:
    """Return how long after the loss its battery is empty, where it holds its place (n,) [s].

    It flies on while it waits, then holds against the mean wind of its height.
    NaN where the charge is not known.
    """
    model, pack = craft
    left_wh = energy.charge_fraction * pack.usable_wh
    waits_s = loss.failsafe.delay_s
    wind_mps = np.nan_to_num(wind.at(fallen_m(loss)), nan=wind.speed_mps)
    still_wh = np.maximum(left_wh - energy.power_w * waits_s / 3_600, 0.0)
    hover_s = still_wh * 3_600 / model.power_w(wind_mps)
    empty_while_waiting = np.maximum(left_wh, 0.0) * 3_600 / energy.power_w
    return np.asarray(np.minimum(waits_s, empty_while_waiting) + hover_s)
