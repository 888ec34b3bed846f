"""What the rules of the flight share: the worst of what holds along the path, and figures in words."""

import math
from collections.abc import Mapping

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.weather_now import WeatherNow
from planner.geo.place import Place
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.stretches import Stretch, place_at, stretches
from planner.saying import Kind, Quantity
from planner.track.track import Track
from planner.units import STATUTE_MILE_M

COMMON_PRACTICE = "common practice"


@attrs.frozen
class Worst:
    """The sample where it is worst, the stretch about it, and in words how many more there are."""

    sample: int
    stretch: Stretch
    place: Place
    more: str

    def finding(
        self,
        *,
        rule: str,
        mark: Mark,
        title: str,
        message: str,
        remedy: str,
        numbers: Mapping[str, float] | None = None,
    ) -> Finding:
        """Return what common practice says of that stretch; its message ends with how many more there are."""
        return Finding(
            rule=rule,
            mark=mark,
            basis=Basis.SAFETY,
            title=title,
            message=message + self.more,
            citation=COMMON_PRACTICE,
            remedy=remedy,
            from_m=self.stretch.from_m,
            to_m=self.stretch.to_m,
            place=self.place,
            numbers=numbers or {},
        )


def worst_of(
    track: Track, holds: NDArray[np.bool_], badness: NDArray[np.float64] | None = None
) -> Worst | None:
    """Return where something holds and is worst, by default at its first sample; None if it holds nowhere."""
    found = stretches(track, holds)
    if not found:
        return None
    sample = found[0].first
    if badness is not None:
        sample = int(np.argmax(np.where(holds & ~np.isnan(badness), badness, -np.inf)))
        sample = sample if holds[sample] else found[0].first
    stretch = next(one for one in found if one.first <= sample <= one.last)
    others = len(found) - 1
    more = f" So it is on {others} more stretch{'es' if others > 1 else ''} of the path." if others else ""
    return Worst(sample, stretch, place_at(track, sample), more)


def left_db(margin_db: float) -> str:
    """Return a margin that is left, rounded down: 9.98 dB are not the 10 that are wanted."""
    return f"{np.floor(margin_db + 1e-9):.0f} dB"


def wanted_db(margin_db: float) -> str:
    """Return a margin that is wanted, rounded up."""
    return f"{np.ceil(margin_db - 1e-9):.0f} dB"


def wind_words(speed_mps: float, gust_mps: float) -> str:
    """Return a wind's speeds in knots."""
    gust = f", gusts {Quantity(Kind.SPEED, gust_mps)}" if gust_mps > speed_mps else ""
    return f"{Quantity(Kind.SPEED, speed_mps)}{gust}"


def no_wind_words(weather: WeatherNow) -> str:
    """Return why still air is reckoned with: no wind is given, or none of the given ones counts."""
    return "the wind that is given does not count" if weather.lost_winds else "no wind is given"


def fine_speed(mps: float) -> str:
    """Return a speed that is held against a limit, to a tenth."""
    return Quantity(Kind.FINE_SPEED, mps)


def rate(mps: float) -> str:
    """Return a rate of climb or descent in words."""
    return Quantity(Kind.RATE, mps)


def clock(seconds: float) -> str:
    """Return a time as minutes and seconds, one that never ends as such."""
    if not np.isfinite(seconds):
        return "for ever"
    whole = round(seconds)
    return f"{whole // 60} min {whole % 60:02d} s" if whole >= 60 else f"{whole} s"


def way_takes(seconds: float) -> str:
    """Return how long a way takes, after what flies it; of one against too much wind, none."""
    return f"takes {clock(seconds)}" if np.isfinite(seconds) else "makes no headway"


def percent(share: float) -> str:
    """Return a share in whole percent, rounded down; less than none is nothing."""
    return f"{int(np.floor(share * 100 + 1e-9)):d} %" if np.isfinite(share) and share >= 0.0 else "nothing"


def miles(metres: float) -> str:
    """Return a visibility in statute miles, the unit of the rules on it."""
    return f"{metres / STATUTE_MILE_M:,.1f} statute miles"


def away(metres: float) -> str:
    """Return how far away something lies, in the unit of ways."""
    return Quantity(Kind.WAY, metres)


def weight(kg: float) -> str:
    """Return a weight."""
    return Quantity(Kind.MASS, kg)


def fine_miles(metres: float) -> str:
    """Return a visibility that is held against a limit, rounded down to a hundredth of a statute mile."""
    number = math.floor(metres / STATUTE_MILE_M * 100 + 1e-9) / 100
    return f"{number:,g} statute mile{'' if number == 1.0 else 's'}"


def feet(metres: float) -> str:
    """Return a length in whole feet, to the nearest."""
    return Quantity(Kind.NEAREST, metres)
