"""What `assess` answers: the judgement that desk, command line and briefing share."""

from datetime import datetime

import attrs

from planner.ceiling.evaluate import Scene
from planner.ceiling.profile import AreaCeiling, CeilingProfile
from planner.flight.answer import FlightAnswer
from planner.permission.need import PermissionNeed
from planner.plan.model import Plan
from planner.rules.case import Case
from planner.rules.data_status import DataStatus
from planner.rules.finding import Finding
from planner.rules.verdict import Recheck, Verdict
from planner.saying import told
from planner.sight.answer import SightAnswer
from planner.track.track import Track
from planner.world.world import World


@attrs.frozen(eq=False)
class Assessment:
    """The answer to one plan in one world.

    `reason` is the verdict's main cause in one sentence. `findings` are sorted
    by weight, then along the path. `not_known` says what the verdict does not
    cover. `track` and `profile` are None without a path of two points, `area`
    without a flying area. `scene` is what the ceiling was computed in, so that
    it can be asked about any other place; None where nothing is laid out.
    `case` is what the rules were asked. While not `whole`, the questions that
    follow (`sight`, `flight`) are not answered and the verdict is provisional: never
    ready. While not `live` nothing has been judged yet: there are no findings, and the track is
    not known where its legs are new.
    """

    plan: Plan
    world: World
    verdict: Verdict
    reason: str = attrs.field(converter=told)
    findings: tuple[Finding, ...]
    permissions: tuple[PermissionNeed, ...]
    data: tuple[DataStatus, ...]
    track: Track | None = None
    profile: CeilingProfile | None = None
    area: AreaCeiling | None = None
    valid_until_utc: datetime | None = None
    recheck: tuple[Recheck, ...] = ()
    not_known: tuple[str, ...] = ()
    scene: Scene | None = None
    sight: SightAnswer | None = None
    flight: FlightAnswer | None = None
    case: Case | None = None
    whole: bool = True
    live: bool = True
