"""What a weather report or forecast says, in SI, and what of it could not be read."""

from enum import StrEnum

import attrs

from planner.errors import LowlineError
from planner.world.weather.patterns import UNTOLD_CLOUD


class WeatherReportError(LowlineError):
    """A text is not a METAR, SPECI or TAF at all."""


class Cover(StrEnum):
    """How much of the sky a layer covers, as coded."""

    FEW = "FEW"
    SCATTERED = "SCT"
    BROKEN = "BKN"
    OVERCAST = "OVC"
    OBSCURED = "VV"
    UNTOLD = "///"


CEILING_COVERS = frozenset({Cover.BROKEN, Cover.OVERCAST, Cover.OBSCURED, Cover.UNTOLD})
"""More than half the sky, and what a station could not tell and may be that."""


@attrs.frozen
class ReportedWind:
    """Wind [m/s]; `from_true_deg` is None where it is variable or not given.

    `at_least` says that the code gave only a lower bound. `varies_deg` are
    the extremes between which the direction varies, clockwise.
    """

    speed_mps: float
    from_true_deg: float | None
    gust_mps: float | None = None
    at_least: bool = False
    varies_deg: tuple[float, float] | None = None


@attrs.frozen
class Visibility:
    """The least visibility told [m], and whether it is only a lower or an upper bound.

    `toward` is the side on which it is so little, as coded; '' where it prevails.
    """

    m: float
    at_least: bool = False
    less_than: bool = False
    toward: str = ""

    @property
    def order(self) -> tuple[float, bool]:
        """A key by which the least comes first."""
        return self.m, not self.less_than


@attrs.frozen
class CloudLayer:
    """A layer, and its group as coded; `base_m` is above the aerodrome, None where it was not measured."""

    cover: Cover
    base_m: float | None
    kind: str = ""
    coded: str = ""


@attrs.frozen
class Doubt:
    """A group that follows the code but can't be true, and why; nothing is taken from it."""

    group: str
    why: str


@attrs.frozen
class Conditions:
    """Weather at one time or over one period; None: not given, or given and not believed.

    Parameters
    ----------
    clear_sky : whether the report says that there is no cloud of concern.
    cavok : visibility 10 km or more, no cloud of concern, no weather.
    weather : groups of present weather, as coded.
    passed_over : groups of the code that the program has no use for.
    unread : groups that follow no pattern of the code: shown, never guessed.
    """

    wind: ReportedWind | None = None
    visibility: Visibility | None = None
    clouds: tuple[CloudLayer, ...] = ()
    clear_sky: bool = False
    cavok: bool = False
    temperature_c: float | None = None
    dew_point_c: float | None = None
    pressure_hpa: float | None = None
    weather: tuple[str, ...] = ()
    passed_over: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()

    @property
    def ceiling_m(self) -> float | None:
        """Lowest known base of a layer over more than half the sky [m above the aerodrome]."""
        bases = [
            layer.base_m
            for layer in self.clouds
            if layer.cover in CEILING_COVERS and layer.base_m is not None
        ]
        return min(bases, default=None)

    @property
    def ceiling_unknown(self) -> bool:
        """Whether nobody can say that there is no lower ceiling than the known one.

        A group that can't be read may have been a layer of cloud.
        """
        return self.sky_in_doubt or not (self.clouds or self.clear_sky or self.cavok)

    @property
    def sky_in_doubt(self) -> bool:
        """Whether what is told of cloud was not measured, not believed, or perhaps not read."""
        unmeasured = any(layer.cover in CEILING_COVERS and layer.base_m is None for layer in self.clouds)
        doubted = any(_is_about_cloud(doubt.group) for doubt in self.doubts)
        return unmeasured or doubted or bool(self.unread)


@attrs.frozen
class Report:
    """A METAR or SPECI; `raw` is its text as given.

    `day`, `hour`, `minute` are UTC; the code states no month. `trend` and
    `remarks` are kept as text; `changes` is what the trend brings, part by part.
    """

    raw: str
    kind: str
    station: str
    day: int
    hour: int
    minute: int
    conditions: Conditions
    automatic: bool = False
    corrected: bool = False
    missing: bool = False
    trend: str = ""
    changes: tuple[Conditions, ...] = ()
    remarks: str = ""


class ChangeKind(StrEnum):
    """How a period of a forecast relates to what stands before it."""

    PREVAILING = "prevailing"
    FROM = "from"
    BECOMING = "becoming"
    TEMPORARY = "temporary"
    PROBABLE = "probable"


@attrs.frozen
class CodedTime:
    """Day of the month, hour and minute in UTC; hour 24 is the end of the day."""

    day: int
    hour: int
    minute: int = 0


@attrs.frozen
class Period:
    """A part of a forecast; what it does not state stays as it was before."""

    change: ChangeKind
    start: CodedTime
    end: CodedTime
    conditions: Conditions
    probability: int | None = None


@attrs.frozen
class Forecast:
    """A TAF; `raw` is its text as given, `unread` groups outside any period.

    `validity_doubt` says why its hours are not believed; `start` and `end` are
    None then, as they are where the hours could not be read.
    """

    raw: str
    station: str
    issued: CodedTime
    start: CodedTime | None
    end: CodedTime | None
    periods: tuple[Period, ...] = ()
    amended: bool = False
    cancelled: bool = False
    missing: bool = False
    remarks: str = ""
    validity_doubt: str = ""
    unread: tuple[str, ...] = ()


def _is_about_cloud(group: str) -> bool:
    told = (cover.value for cover in Cover if cover is not Cover.UNTOLD)
    return group.startswith(tuple(told)) or UNTOLD_CLOUD.fullmatch(group) is not None
