"""All winds that a flight may meet: one report does not take back what another says."""

from typing import Final

import attrs
import numpy as np

from planner.flight.motion import Motion
from planner.flight.weather_now import WeatherNow, blown_by
from planner.flight.wind import Wind

# A wind of no or of varying direction stands for winds no farther apart than this.
_STEP_DEG: Final = 15.0


@attrs.frozen(eq=False)
class InWinds:
    """How the path is flown in each wind that counts.

    Parameters
    ----------
    motions : one for each wind that is typed or reported, at least one.
    winds : the same winds, those without one direction from each side that
        they may come from; empty where no wind is known.
    """

    motions: tuple[Motion, ...]
    winds: tuple[Wind, ...]


def every_wind(weather: WeatherNow) -> tuple[Wind, ...]:
    """Return each wind that may blow, from each side that it may come from; empty: none is given."""
    return tuple(
        attrs.evolve(one.wind, from_true_deg=from_deg)
        for one in blown_by(weather)
        if one.wind is not None
        for from_deg in _sides(one, one.wind)
    )


def _sides(weather: WeatherNow, wind: Wind) -> list[float]:
    if weather.from_any_side:
        return np.arange(0.0, 360.0, _STEP_DEG).tolist()
    if weather.between_deg is None:
        return [wind.from_true_deg]
    first, last = weather.between_deg
    spread = (last - first) % 360.0
    steps = np.linspace(first, first + spread, int(np.ceil(spread / _STEP_DEG)) + 1)
    return [*(steps % 360.0).tolist(), wind.from_true_deg]
