"""Electrical power by airspeed and climb, from the figures a pilot knows."""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.battery import Pack
from planner.plan.aircraft import AircraftForm
from planner.plan.performance import MeasuredFlight, Performance
from planner.world.weather.atmosphere import GRAVITY_MPS2, SEA_LEVEL_K, SEA_LEVEL_PA, density_kg_m3

Floats = NDArray[np.float64]

# Share of the power that lifts the weight in a climb, motors and propellers together: common practice.
CLIMB_EFFICIENCY: Final = 0.5


@attrs.frozen(eq=False)
class PowerModel:
    """Power [W] in level flight at known airspeeds, straight between them.

    Beyond the fastest known speed the whole power is taken to grow by the
    cube of speed, more than any part of it does; below the slowest it is held.
    A climb adds the power that lifts the weight; a descent gives nothing back.
    Thin air raises all of it by the root of the density's ratio, as in the
    hover.

    Parameters
    ----------
    speeds_mps, powers_w : (k,) rising speeds and the power at each.
    weight_n : weight of the aircraft.
    density_ratio : density of the air over that at sea level, at most 1.
    basis : which figures it rests on, in words.
    """

    speeds_mps: Floats
    powers_w: Floats
    weight_n: float
    basis: str
    density_ratio: float = 1.0
    climb_efficiency: float = CLIMB_EFFICIENCY

    def power_w(self, air_speed_mps: Floats, climb_mps: Floats | float = 0.0) -> Floats:
        """Return the power at airspeeds and rates of climb."""
        fastest = self.speeds_mps[-1]
        level = np.interp(air_speed_mps, self.speeds_mps, self.powers_w)
        if fastest > 0:
            level = level * np.maximum(air_speed_mps / fastest, 1.0) ** 3
        lift = self.weight_n * np.maximum(climb_mps, 0.0) / self.climb_efficiency
        return np.asarray((level + lift) / np.sqrt(self.density_ratio))

    def upright_w(self, blows_mps: Floats, climb_mps: float = 0.0) -> Floats:
        """Return the power while it stays over a place, or climbs or sinks there, in winds (n,).

        It flies as fast through the air as it blows; never less than in still air: gusts have their lulls.
        """
        return np.fmax(self.power_w(blows_mps, climb_mps), self.power_w(np.zeros_like(blows_mps), climb_mps))


def power_model(
    performance: Performance,
    mass_kg: float,
    form: AircraftForm,
    pack: Pack | None,
    density: float | None = None,
) -> PowerModel | None:
    """Return the model that the pilot's figures allow, None if they allow none.

    Hover and cruise figures go first, else a measured flight's mean power. Where both are given and the
    measured flight took more than the figures say, all of the figures are raised by that. A rotorcraft of
    which only the hover is known has no model: what it draws at speed is not known.
    """
    points = _points(performance, form, pack)
    if points is None:
        return None
    speeds, powers, basis = points
    at_sea_level = density_kg_m3(SEA_LEVEL_PA, SEA_LEVEL_K)
    ratio = 1.0 if density is None else min(density / at_sea_level, 1.0)
    given = PowerModel(np.array(speeds), np.array(powers), mass_kg * GRAVITY_MPS2, basis, ratio)
    raised = measured_over_figures(performance, form, pack)
    if raised is None or raised <= 1.0:
        return given
    return attrs.evolve(
        given, powers_w=given.powers_w * raised, basis=f"{basis}, raised to what the measured flight took"
    )


def measured_over_figures(performance: Performance, form: AircraftForm, pack: Pack | None) -> float | None:
    """Return how many times the power of the figures a measured flight took; None where not both are given.

    The figures count at its airspeed in the densest air of the model; where that is not said, at the speed
    at which they take most.
    """
    figures = _of_figures(performance, form)
    measured = performance.measured
    if figures is None or measured is None or pack is None:
        return None
    speeds, powers, basis = figures
    model = PowerModel(np.array(speeds), np.array(powers), 0.0, basis)
    asked = np.array(speeds if measured.air_speed_mps is None else [measured.air_speed_mps])
    return _mean_w(measured, pack) / float(np.max(model.power_w(asked)))


def _mean_w(measured: MeasuredFlight, pack: Pack) -> float:
    return measured.used_mah / 1_000 * pack.nominal_v / (measured.duration_s / 3_600)


def _points(
    performance: Performance, form: AircraftForm, pack: Pack | None
) -> tuple[list[float], list[float], str] | None:
    if (figures := _of_figures(performance, form)) is not None:
        return figures
    measured, speed = performance.measured, performance.believed_cruise_mps
    if measured is None or pack is None:
        return None
    mean_w = _mean_w(measured, pack)
    if measured.air_speed_mps is not None:
        return [measured.air_speed_mps], [mean_w], "a measured flight"
    how = "taken as flown in cruise" if speed else "taken as good for every speed"
    return [speed or 0.0], [mean_w], f"a measured flight of which no airspeed is said, {how}"


def _of_figures(performance: Performance, form: AircraftForm) -> tuple[list[float], list[float], str] | None:
    hover, cruise = performance.hover_w, performance.cruise_w
    speed = performance.believed_cruise_mps
    if cruise is None or speed is None:
        return None
    if form is AircraftForm.ROTORCRAFT and hover is not None:
        return [0.0, speed], [hover, cruise], "power in the hover and in cruise"
    return [speed], [cruise], "power in cruise"
