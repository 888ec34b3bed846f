"""Which of the remedies makes a plan lawful with the least change."""

from collections.abc import Iterator

import numpy as np
import shapely

from planner.assessment import Assessment
from planner.permission.need import Route, Subject
from planner.permission.needs import AirspaceUse
from planner.permission.routes import TOLERANCE_M
from planner.remedy.as_flown import not_flown_as_drawn, runs_into_ground
from planner.remedy.bend import bend_title, bent
from planner.remedy.close_beside import passes_close_beside
from planner.remedy.lost_link_alone import above_on_lost_link_alone
from planner.remedy.lower import lower_title, lowered
from planner.remedy.remedy import NoRemedy, Remedy, path_remedy
from planner.remedy.sink import SinkLimits, sink_title, sunk
from planner.remedy.trial import Trial, trial_of
from planner.saying import Kind, Quantity
from planner.wording import way_of

_PLACES = 300


def lowest_change(assessment: Assessment, limits: SinkLimits, clearance_m: float) -> Remedy | NoRemedy:
    """Return the first of `lowest_changes`, or why there is none."""
    found = lowest_changes(assessment, limits, clearance_m)
    return found if isinstance(found, NoRemedy) else found[0]


def lowest_changes(
    assessment: Assessment, limits: SinkLimits, clearance_m: float
) -> tuple[Remedy, ...] | NoRemedy:
    """Return the remedies, or two of them together, that make the path lawful, the least change first.

    Tried are: lower, sink line, bend, and bend then lower. Lawful means no
    part above the height limit and none in closed airspace, or in such as only
    the authority can open, nor so close beside that nobody can say; a permission
    that can be asked for is no breach.
    Least is the smallest `change_m`, then the fewest points.
    """
    trial = trial_of(assessment)
    if trial is None:
        return NoRemedy("the plan has no path of two points")
    settled = _settled(trial)
    if settled:
        other = not_flown_as_drawn(assessment) or runs_into_ground(assessment)
        if other or not _asks(trial):
            return other or NoRemedy("neither the ceiling nor airspace asks for a change of the path")
    found = [
        (round(change_m(trial, after), 3), len(after.path), number, path_remedy(title, trial, after))
        for number, (title, after) in enumerate(_candidates(trial, limits, clearance_m))
        if isinstance(after, Trial) and _settled(after) and not (settled and not _easier(trial, after))
    ]
    if not found and settled:
        return NoRemedy(
            "whatever is lowered or bent, a permission is to be asked for all the same "
            f"({_ways(trial)}){_sooner(trial)}"
        )
    if not found:
        return NoRemedy("no single lowering or bending makes this path lawful: move its points by hand")
    return tuple(entry[3] for entry in sorted(found, key=lambda entry: entry[:3]))


def _settled(trial: Trial) -> bool:
    """Whether a path is lawful, and keeps out of what is shut by more than a satellite fix may be off."""
    return trial.is_lawful() and not passes_close_beside(trial)


def _asks(trial: Trial) -> tuple[AirspaceUse, ...]:
    """Return what airspace that is entered is to be asked for."""
    return tuple(
        use
        for use in trial.scene.uses
        if use.need.subject is Subject.AIRSPACE and not use.need.recorded and not use.need.not_drawn
    )


def _ways(trial: Trial) -> str:
    return "; ".join(dict.fromkeys(way_of(use.need) for use in _asks(trial)))


def _sooner(trial: Trial) -> str:
    """Return up to which height the automated service could give it all, '' if it can't or does."""
    asks = _asks(trial)
    cells_m = [use.cells.ceiling_agl_m or 0.0 if use.cells.automated else 0.0 for use in asks]
    if min(cells_m) <= 0.0 or all(use.need.route is Route.AUTOMATED for use in asks):
        return ""
    given = f"; up to {Quantity(Kind.LIMIT, min(cells_m))} above ground the automated service can give it"
    lost = [use for use in asks if above_on_lost_link_alone(use)]
    if not lost or any(use.need.route is not Route.AUTOMATED for use in asks if use not in lost):
        return given
    over_m = max((use.need.asked_agl_m or 0.0) - (use.cells.ceiling_agl_m or 0.0) for use in lost)
    return (
        f"{given}, and only what the aircraft does on lost link comes {Quantity(Kind.PLANNED, over_m)} above "
        "that: set it so much lower, or another action"
    )


def _easier(before: Trial, after: Trial) -> bool:
    """Whether less is to be asked for, or what is left is no more than an open way is known to give."""
    if len(_asks(after)) < len(_asks(before)):
        return True
    return _above_what_is_given(before) and not _above_what_is_given(after)


def _above_what_is_given(trial: Trial) -> bool:
    with np.errstate(invalid="ignore"):
        over = trial.track.planned_amsl_m > trial.profile.requestable_amsl_m + TOLERANCE_M
    return bool((over & trial.profile.in_unpermitted).any())


def change_m(before: Trial, after: Trial) -> float:
    """Return how far a path was moved, averaged along the new one [m].

    At each place of the new path: its distance from the nearest place of the
    old one on the map, with the difference in height there.
    """
    old = shapely.LineString(np.column_stack([before.track.x_m, before.track.y_m]))
    along_m = np.concatenate(
        [[0.0], np.cumsum(np.hypot(np.diff(before.track.x_m), np.diff(before.track.y_m)))]
    )
    wanted = np.linspace(0, len(after.track) - 1, min(len(after.track), _PLACES)).astype(np.int64)
    points = shapely.points(after.track.x_m[wanted], after.track.y_m[wanted])
    old_m = np.interp(shapely.line_locate_point(old, points), along_m, before.track.planned_amsl_m)
    moved = np.hypot(shapely.distance(old, points), after.track.planned_amsl_m[wanted] - old_m)
    steps_m = np.diff(after.track.distance_m[wanted])
    if not steps_m.sum() > 0:
        return float(np.mean(moved))
    return float(((moved[:-1] + moved[1:]) / 2 * steps_m).sum() / steps_m.sum())


def _candidates(
    trial: Trial, limits: SinkLimits, clearance_m: float
) -> Iterator[tuple[str, Trial | NoRemedy]]:
    lower = lower_title(limits.margin_m, trial)
    yield lower, lowered(trial, limits.margin_m)
    yield sink_title(limits), sunk(trial, limits)
    aside = bent(trial, clearance_m)
    yield bend_title(clearance_m), aside
    if isinstance(aside, Trial) and not aside.is_lawful():
        lower = lower_title(limits.margin_m, aside)
        yield f"{bend_title(clearance_m)}; {lower[0].lower()}{lower[1:]}", lowered(aside, limits.margin_m)
