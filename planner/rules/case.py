"""The case put to the rules: the plan, its world, and every answer computed so far."""

from collections.abc import Callable, Hashable, Mapping
from typing import TypeVar, cast

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import AreaCeiling, CeilingProfile
from planner.flight.answer import FlightAnswer
from planner.flight.area_flight import AreaFlight
from planner.flight.return_places import ReturnPlaces
from planner.flight.weather_now import WeatherNow
from planner.permission.need import PermissionNeed
from planner.permission.needs import AirspaceUse
from planner.plan.model import Plan
from planner.rules.data_status import DataStatus
from planner.sight.answer import SightAnswer
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.world import World

Found = TypeVar("Found")


@attrs.frozen(eq=False)
class AskedOnReturn:
    """Which returns (n,) on lost link enter airspace that only the authority can open, and no record does.

    `column` is that airspace in the mapped world, -1 for none, `above_m` how far above what is open
    beneath it the return comes [m]: inf where that is nothing, -inf for none.
    """

    column: NDArray[np.int64]
    above_m: NDArray[np.float64]


@attrs.frozen(eq=False)
class OverOnReturn:
    """What returns (n,) on lost link come farthest above, and where.

    `column` is the outline that sets the ceiling there in the mapped world, -1 for the ground; `x_m`, `y_m`
    the place in the plane [m]; `from_ground`: nothing is open there at all; `permitted`: a record sets it.
    """

    column: NDArray[np.int64]
    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    from_ground: NDArray[np.bool_]
    permitted: NDArray[np.bool_]


@attrs.frozen(eq=False)
class AboveAsked:
    """Which returns (n,) on lost link come above the height that the plan has to ask for.

    `column` is the airspace that it has to ask for in the mapped world, -1 for none; `above_m` by how much
    [m].
    """

    column: NDArray[np.int64]
    above_m: NDArray[np.float64]


@attrs.frozen(eq=False)
class MetOnLoss:
    """Airspace that an action on lost link comes down through, and from which samples (n,) it does.

    `column` is that airspace in the mapped world. `unsettled`: whether it is closed can't be said yet.
    """

    column: int
    samples: NDArray[np.bool_]
    unsettled: bool


@attrs.frozen(eq=False)
class Case:
    """What a rule may look at; parts that the plan doesn't have are None.

    `sight`, `weather`, `flight` and `area_flight` are answered by `planner.following`; rules of the live
    part must not look at them. `loss_over_ceiling_m` is, per sample, how far a
    return on lost link from there comes above the ceiling, -inf where it was
    not asked, NaN where the ceiling is not known; None where nothing returns;
    `area_loss_over_ceiling_m` the same for each of the area's `losses`; `loss_asked` and `area_loss_asked`
    say which of them enter airspace that only the authority can open, `loss_over` what they come above,
    `loss_above_asked` which come above the
    height that is to be asked for anyway, `loss_met` what an action that stays comes down through.
    `by_report` is this case in the wind of the reports, where that is stronger than the one that is typed,
    `in_told_air` at their temperature, where that is another. `returned` are the places of returns on lost
    link that the ceiling is asked of, `rises_on_return` says, by column of an airspace to ask for, how far
    above the height that the plan needs there they come in it [m], `rises_as_flown` the same of what is flown
    higher than drawn, where the way falls faster than the aircraft sinks. `waits_over_m`, `waits_over`
    say of actions that stay how far what flies on for the delay comes above a ceiling that the path itself
    keeps [m], -inf where that was not asked, and of what; None where nothing stays.
    """

    plan: Plan
    world: World
    mapped: Mapped | None
    track: Track | None
    profile: CeilingProfile | None
    area_samples: AreaSamples | None
    area: AreaCeiling | None
    spots: AreaSamples | None
    uses: tuple[AirspaceUse, ...]
    needs: tuple[PermissionNeed, ...]
    data: tuple[DataStatus, ...]
    sight: SightAnswer | None = None
    weather: WeatherNow | None = None
    flight: FlightAnswer | None = None
    area_flight: AreaFlight | None = None
    loss_over_ceiling_m: NDArray[np.float64] | None = None
    area_loss_over_ceiling_m: tuple[NDArray[np.float64], ...] = ()
    loss_asked: AskedOnReturn | None = None
    area_loss_asked: tuple[AskedOnReturn, ...] = ()
    loss_over: OverOnReturn | None = None
    area_loss_over: tuple[OverOnReturn, ...] = ()
    loss_above_asked: AboveAsked | None = None
    area_loss_above_asked: tuple[AboveAsked, ...] = ()
    loss_met: tuple[MetOnLoss, ...] = ()
    by_report: "Case | None" = None
    in_told_air: "Case | None" = None
    returned: tuple[ReturnPlaces, ...] = ()
    rises_on_return: Mapping[int, float] = attrs.field(factory=dict)
    rises_as_flown: Mapping[int, float] = attrs.field(factory=dict)
    waits_over_m: NDArray[np.float64] | None = None
    waits_over: OverOnReturn | None = None
    _found: dict[Hashable, object] = attrs.field(init=False, factory=dict, repr=False)

    def once(self, what: Hashable, find: Callable[[], Found]) -> Found:
        """Return what is found from this case alone and asked by several rules: found when first asked."""
        if what not in self._found:
            self._found[what] = find()
        return cast("Found", self._found[what])
