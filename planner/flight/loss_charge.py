"""What charge is left where an aircraft that lost its link has come home by itself."""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.battery import Pack
from planner.flight.energy import Energy
from planner.flight.power import PowerModel
from planner.flight.way_home import LossWays
from planner.track.track import Track

Floats = NDArray[np.float64]


def left_after_return(loss: LossWays, energy: Energy, craft: tuple[PowerModel, Pack]) -> Floats:
    """Return the charge left after the return from each sample (n,), a share of what the pack gives.

    It flies on while it waits, climbs on the spot, flies home at the airspeed
    of its return, and lands. NaN where nothing returns, or where the wind
    forbids it.
    """
    model, pack = craft
    used_wh = return_wh(loss, model, energy.power_w)
    return np.asarray(energy.charge_fraction - used_wh / pack.usable_wh)


PARTS: Final = ("delay", "rate of climb", "speed", "rate of descent")
"""What each part of a return takes its time from, in the order of `LossWays.parts_s`."""


def dearest_return(
    places: Sequence[Track], losses: Sequence[LossWays], model: PowerModel
) -> tuple[float, Track, LossWays, int] | None:
    """Return the return that takes most [Wh], and from which of its places; None where none is known."""
    found = None
    for where, loss in zip(places, losses, strict=True):
        used_wh = return_wh(loss, model)
        if np.isnan(used_wh).all():
            continue
        k = int(np.nanargmax(used_wh))
        if found is None or used_wh[k] > found[0]:
            found = float(used_wh[k]), where, loss, k
    return found


def in_gusts(loss: LossWays) -> LossWays:
    """Return the ways as if it blew all the way as in the gusts; NaN times where it makes no headway then."""
    return _blown(loss, loss.gusty_s, loss.blows.gusty_mps if loss.blows else None)


def in_lasting_wind(loss: LossWays) -> LossWays:
    """Return the ways in the most that blows for a minute (`Wind.lasting_mps`), likewise."""
    return _blown(loss, loss.lasting_s, loss.blows.lasting_mps if loss.blows else None)


def _blown(loss: LossWays, way_s: Floats | None, upright_mps: Floats | None) -> LossWays:
    if way_s is None:
        return loss
    parts_s, way = loss.parts_s.copy(), PARTS.index("speed")
    longer = np.isfinite(way_s) & (way_s > parts_s[:, way])
    parts_s[:, way] = np.where(longer, way_s, parts_s[:, way])
    parts_s[np.isinf(way_s)] = np.nan
    blows = (
        None if loss.blows is None or upright_mps is None else attrs.evolve(loss.blows, mean_mps=upright_mps)
    )
    return attrs.evolve(loss, parts_s=parts_s, duration_s=parts_s.sum(axis=1), blows=blows)


def as_said(loss: LossWays) -> LossWays:
    """Return the ways without the parts whose figure nobody said: what they take at the least."""
    kept = np.array([part not in loss.failsafe.assumed for part in PARTS])
    return attrs.evolve(loss, parts_s=loss.parts_s * kept)


def return_wh(loss: LossWays, model: PowerModel, waiting_w: Floats | None = None) -> Floats:
    """Return what the return from each sample takes (n,) [Wh]; NaN where nothing returns.

    `waiting_w` (n,) is the power until the action begins; None: that of its way home.
    """
    way_w, climb_w, landing_w = _watts(loss, model)
    watts = np.stack([way_w if waiting_w is None else waiting_w, climb_w, way_w, landing_w])
    return np.asarray((watts.T * loss.parts_s).sum(axis=1) / 3_600)


def home_w(loss: LossWays, model: PowerModel) -> Floats:
    """Return the most power that its way home and its landing ask for (n,) [W]."""
    way_w, _, landing_w = _watts(loss, model)
    return np.asarray(np.fmax(way_w, landing_w))


def climbing_v(loss: LossWays, energy: Energy, craft: tuple[PowerModel, Pack]) -> Floats:
    """Return the voltage of a cell under load where the climb of its return ends (n,) [V].

    NaN where the cell can't give that power, inf where it does not climb or nothing returns.
    """
    model, pack = craft
    _, climb_w, _ = _watts(loss, model)
    used_wh = (energy.power_w * loss.parts_s[:, 0] + climb_w * loss.parts_s[:, 1]) / 3_600
    left = np.clip(energy.charge_fraction - used_wh / pack.usable_wh, 0.0, 1.0)
    with np.errstate(invalid="ignore"):
        climbs = loss.parts_s[:, 1] > 0.0
    return np.where(climbs, pack.loaded_cell_v(left, climb_w), np.inf)


def climbing_v_at_reserve(loss: LossWays, model: PowerModel, pack: Pack, reserve: float) -> Floats:
    """Return the same of returns that just keep the reserve (n,) [V]: more is left where the climb ends."""
    way_w, climb_w, landing_w = _watts(loss, model)
    to_come_wh = (way_w * loss.parts_s[:, 2] + landing_w * loss.parts_s[:, 3]) / 3_600
    with np.errstate(invalid="ignore"):
        climbs = loss.parts_s[:, 1] > 0.0
    left = np.clip(reserve + to_come_wh / pack.usable_wh, 0.0, 1.0)
    return np.where(climbs, pack.loaded_cell_v(left, climb_w), np.inf)


def _watts(loss: LossWays, model: PowerModel) -> tuple[Floats, Floats, Floats]:
    """Return the power of its way home, of its climb and of its landing (n,) [W]."""
    failsafe, count = loss.failsafe, len(loss.clearance_m)
    climbing_mps, landing_mps = np.zeros((2, count)) if loss.blows is None else loss.blows.mean_mps
    way_w = np.full(count, float(model.power_w(np.array([failsafe.speed_mps]))[0]))
    return way_w, model.upright_w(climbing_mps, failsafe.climb_mps), model.upright_w(landing_mps)
