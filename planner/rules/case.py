"""The case put to the rules: the plan, its world, and every answer computed so far."""

import attrs

from planner.ceiling.profile import AreaCeiling, CeilingProfile
from planner.permission.need import PermissionNeed
from planner.permission.needs import AirspaceUse
from planner.plan.model import Plan
from planner.rules.data_status import DataStatus
from planner.sight.answer import SightAnswer
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.world import World


@attrs.frozen(eq=False)
class Case:
    """What a rule may look at; parts that the plan doesn't have are None.

    `sight` is answered by `planner.following`; rules of the live part must not
    look at it.
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
