"""Heights as the goggles show them: never to be exceeded leg by leg, and planned point by point."""

from planner.assessment import Assessment
from planner.ceiling.never_exceed import (
    HeightUnit,
    NeverExceed,
    Standing,
    figures_of_leg,
    planned_over,
    readout_unit,
    shown_above_launch,
)
from planner.wording import distance

NOTE = "counted from launch, the readout's error taken off; arming anywhere else starts a new zero"
_SHORT = {HeightUnit.FEET: "ft", HeightUnit.METRES: "m"}
_WHY_NONE = {
    Standing.NOT_ALLOWED: "nothing allowed",
    Standing.GROUND_UNKNOWN: "no ground",
    Standing.LIMIT_UNKNOWN: "not known",
    Standing.LAUNCH_UNKNOWN: "no launch",
    Standing.READOUT_UNKNOWN: "readout error not set",
}


def short_unit(unit: HeightUnit) -> str:
    """Return the readout's unit as it stands beside a figure: 'ft' or 'm'."""
    return _SHORT[unit]


def figures_by_leg(answer: Assessment) -> tuple[tuple[NeverExceed, ...], ...]:
    """Return the figures never to be exceeded on each leg, in the order flown; empty without a track."""
    legs = len(answer.track.point_sample) - 1 if answer.track else 0
    return tuple(figures_on(answer, leg) for leg in range(legs))


def figures_on(answer: Assessment, leg: int) -> tuple[NeverExceed, ...]:
    """Return the figures never to be exceeded on one leg; empty where there is no such leg."""
    track, profile = answer.track, answer.profile
    if track is None or profile is None or not 0 <= leg < len(track.point_sample) - 1:
        return ()
    readout = answer.plan.aircraft.readout if answer.plan.aircraft else None
    error_m = readout.error_m if readout else None
    return figures_of_leg(track, profile, leg, error_m, readout_unit(answer.plan))


def leg_words(figures: tuple[NeverExceed, ...], unit: HeightUnit) -> str:
    """Return one leg's figures: '520 ft', or '520 ft to 0.46 km, 330 ft'."""
    told: list[tuple[str, float]] = []
    for figure in figures:
        words = piece_words(figure, unit)
        if told and told[-1][0] == words:
            told.pop()
        told.append((words, figure.to_m))
    parts = [f"{words} to {distance(to_m)}" for words, to_m in told[:-1]]
    return ", ".join([*parts, *(words for words, _ in told[-1:])])


def over_words(answer: Assessment, figures: tuple[NeverExceed, ...]) -> str:
    """Say of a leg's figures that the plan is above one of them, if it is."""
    if answer.track is None or answer.profile is None:
        return ""
    over = planned_over(answer.track, answer.profile, figures, readout_unit(answer.plan))
    return "; planned above it" if over else ""


def begun_words(figures: tuple[NeverExceed, ...], unit: HeightUnit) -> str:
    """Return the figure that a leg begins with, with an arrow where it falls later: '↓ 520 ft'.

    '?' if any piece is not known, 'none' if any allows nothing.
    """
    standings = {figure.standing for figure in figures}
    if Standing.NOT_ALLOWED in standings:
        return "none"
    known = [figure.figure for figure in figures if figure.figure is not None]
    if len(known) < len(figures) or not known:
        return "?"
    return ("↓ " if min(known) < known[0] else "") + with_unit(known[0], unit)


def piece_words(figure: NeverExceed, unit: HeightUnit) -> str:
    """Return one figure with its unit, or why there is none."""
    return _WHY_NONE[figure.standing] if figure.figure is None else with_unit(figure.figure, unit)


def goggles_words(answer: Assessment) -> tuple[str, ...]:
    """Return each point's planned height as the goggles show it; '?' where it is not known."""
    if answer.track is None:
        return ()
    unit = readout_unit(answer.plan)
    return tuple(
        "?" if shown is None or answer.plan.launch is None else with_unit(shown, unit)
        for shown in shown_above_launch(answer.track, unit)
    )


def with_unit(figure: int, unit: HeightUnit) -> str:
    """Return a figure with its unit."""
    return f"{figure:,} {_SHORT[unit]}"
