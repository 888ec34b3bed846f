"""What each part of the plan holds, in one line."""

from collections.abc import Callable, Mapping
from typing import Final

import attrs

from planner.desk.quantities import HEIGHT, LENGTHS, WEIGHT, WEIGHTS, words
from planner.desk.saying import day_and_hours, distance, moment, nearest_words, speed_words
from planner.desk.top_bar import PURPOSE_CHIPS
from planner.desk.words import LAND_WORDS
from planner.geo.heights import reference_of
from planner.plan.ground import GroundSpot
from planner.plan.model import Plan
from planner.plan.role_words import role_words
from planner.plan.sheet import SheetNotes
from planner.units import STATUTE_MILE_M

NOT_SET: Final = "not set"


def summary(key: str, plan: Plan) -> str:
    """Return what a plan holds of a part, by the part's key."""
    return _SUMMARIES[key](plan)


def _purpose(plan: Plan) -> str:
    if plan.purpose is None:
        return NOT_SET
    return _row(PURPOSE_CHIPS[plan.purpose], plan.guidelines.strip())


def _land(plan: Plan) -> str:
    spots = {"launch": plan.launch, "landing": plan.landing}
    return _row(*(f"{name}: {_ground(spot)}" for name, spot in spots.items() if spot)) or "not drawn"


def _ground(spot: GroundSpot) -> str:
    said = LAND_WORDS[spot.land]
    return f"{said[:1].lower()}{said[1:]}"


def _notices(plan: Plan) -> str:
    if plan.notices is None:
        return "not checked"
    return f"{moment(plan.notices.at_utc, plan.window)}, {plan.notices.by}"


def _aircraft(plan: Plan) -> str:
    craft = plan.aircraft
    return NOT_SET if craft is None else _row(craft.name, words(craft.take_off_weight_kg, WEIGHT, WEIGHTS, 2))


def _papers(plan: Plan) -> str:
    papers = plan.papers
    said = () if papers is None else attrs.astuple(papers, recurse=False)
    return _count(sum(1 for one in said if one not in (None, "")), "said")


def _crew(plan: Plan) -> str:
    return (
        _row(*(f"{role_words(one.role, plan.purpose)} {one.name}".strip() for one in plan.crew)) or "nobody"
    )


def _sight(plan: Plan) -> str:
    if plan.visibility_m is None:
        return f"visibility {NOT_SET}"
    return f"visibility {plan.visibility_m / STATUTE_MILE_M:.3g} mi"


def _weather(plan: Plan) -> str:
    weather = plan.weather
    if weather is None:
        return "nothing said"
    wind = weather.wind
    return (
        _row(
            f"{speed_words(wind.speed_mps)} from {wind.from_true_deg:.0f}°" if wind else "",
            f"gusts {speed_words(wind.gust_mps)}" if wind and wind.gust_mps is not None else "",
            "METAR" if weather.metar.strip() else "",
            "TAF" if weather.taf.strip() else "",
            f"cloud {nearest_words(weather.cloud_base_m)}" if weather.cloud_base_m is not None else "",
        )
        or "wind not said"
    )


def _beneath(plan: Plan) -> str:
    own_m = plan.own_people_distance_m
    return _row(
        _count(len(plan.beneath), "drawn"),
        "" if own_m is None else f"keep {distance(own_m)} from people",
        "from a vehicle" if plan.from_vehicle is not None else "",
    )


def _pilots(plan: Plan) -> str:
    return _row(*(one.name for one in plan.other_pilots)) or "nobody"


def _area(plan: Plan) -> str:
    if plan.area is None:
        return "not drawn"
    top = plan.area.top
    if top is None:
        return "no top"
    return f"top {words(top.m, HEIGHT, LENGTHS)} {reference_of(top).replace('-', ' ')}"


def _sheet(plan: Plan) -> str:
    notes, plain = plan.sheet, SheetNotes()
    said = (
        0
        if notes is None
        else sum(
            getattr(notes, field.name) != getattr(plain, field.name) for field in attrs.fields(SheetNotes)
        )
    )
    return _count(said, "said")


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number else f"nothing {what}"


def _row(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


_SUMMARIES: Final[Mapping[str, Callable[[Plan], str]]] = {
    "purpose": _purpose,
    "window": lambda plan: NOT_SET if plan.window is None else day_and_hours(plan.window),
    "land": _land,
    "notices": _notices,
    "restrictions": lambda plan: _count(len(plan.restrictions), "drawn"),
    "aircraft": _aircraft,
    "papers": _papers,
    "crew": _crew,
    "sight": _sight,
    "weather": _weather,
    "beneath": _beneath,
    "pilots": _pilots,
    "area": _area,
    "structures": lambda plan: _count(len(plan.structures_standing), "said to stand"),
    "sheet": _sheet,
    "name": lambda plan: plan.name.strip() or NOT_SET,
}
