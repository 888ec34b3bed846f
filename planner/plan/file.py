"""The plan file: a GeoJSON FeatureCollection (RFC 7946) with one member of our own.

Geometry lives in the features and nowhere else; all the rest lives in the
member `lowline` and nowhere else. An entry of the member and its feature are
joined by kind, by key or by count, so the two can't contradict each other: they
match, or the file is refused. No verdict is stored, only `saved_as_draft`.
"""

from pathlib import Path
from typing import Any

from planner.atomic import write_text
from planner.errors import OutputError, PlanError, PlanFileError
from planner.plan.file_features import features_of, shapes_of
from planner.plan.file_join import joined, split
from planner.plan.file_schema import plain_from_plan, plan_from_plain
from planner.plan.file_text import object_from_json, quoted, read_text, text_from_object
from planner.plan.migrations import KNOWN_VERSION, migrated, version_of
from planner.plan.model import Plan

PLAN_SUFFIX = ".lowline.geojson"
EARLIER_SUFFIX = ".plan.geojson"
"""What plans ended in before; they are opened all the same."""


def plan_name(path: Path) -> str:
    """Return a plan file's name without its ending."""
    return path.name.removesuffix(PLAN_SUFFIX).removesuffix(EARLIER_SUFFIX).removesuffix(".geojson")


def read_plan(path: Path) -> Plan:
    """Return the plan in a file.

    Raises
    ------
    PlanFileError
        If the file can't be read or is not a plan this program knows.
    """
    return plan_from_json(read_text(path), where=str(path))


def plan_from_json(text: str, *, where: str) -> Plan:
    """Return the plan in a text; `where` names its origin in messages.

    Raises
    ------
    PlanFileError
        If the text is not a plan this program knows.
    """
    document = object_from_json(text, where)
    try:
        return _plan_from_document(document)
    except PlanFileError as error:
        place = f"{where}, {error.where}" if error.where else where
        raise PlanFileError(error.what, where=place, remedy=error.remedy) from None


def plan_to_json(plan: Plan) -> str:
    """Return the text of a plan's file: the same plan gives the same bytes.

    Numbers are written in their shortest form that reads back exactly.
    """
    return text_from_object(plan_as_object(plan))


def plan_as_object(plan: Plan) -> dict[str, Any]:
    """Return what a plan's file holds, before it is text."""
    member, shapes = split(plain_from_plan(plan))
    return {
        "type": "FeatureCollection",
        "features": features_of(shapes),
        "lowline": {"version": KNOWN_VERSION, **member},
    }


def write_plan(plan: Plan, path: Path) -> None:
    """Write a plan's file in one step: a failure leaves the old file as it was.

    Raises
    ------
    OutputError
        If the file can't be written, or would not read back as the same plan.
    """
    text = plan_to_json(plan)
    try:
        intact = plan_from_json(text, where=str(path)) == plan
    except PlanError as error:
        raise OutputError(f"the plan was not written: {error.what}", where=error.where) from None
    if not intact:
        raise OutputError("the plan was not written: it would not read back the same", where=str(path))
    write_text(path, text)


def _plan_from_document(document: dict[str, Any]) -> Plan:
    if document.get("type") != "FeatureCollection":
        raise PlanFileError(
            f"'type' is {quoted(document.get('type'))}, a plan is a 'FeatureCollection'",
            remedy=f"open a file that ends in {PLAN_SUFFIX}",
        )
    member = document.get("lowline")
    if not isinstance(member, dict):
        raise PlanFileError(
            "this GeoJSON file is not a plan: it has no object 'lowline'",
            remedy=f"open a file that ends in {PLAN_SUFFIX}",
        )
    document = migrated(document, version_of(member))
    _refuse_unknown_members(document)
    return plan_from_plain(joined(document["lowline"], shapes_of(document.get("features"))))


def _refuse_unknown_members(document: dict[str, Any]) -> None:
    unknown = sorted(document.keys() - {"type", "features", "lowline"})
    if unknown:
        raise PlanFileError(f"a plan has no member {quoted(unknown[0])}", remedy="remove it")
