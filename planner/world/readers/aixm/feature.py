"""One airspace of an AIXM message, as far as it can be told without the others."""

from xml.etree.ElementTree import Element

import attrs
from shapely.geometry.base import BaseGeometry

from planner.world.readers.aixm.coordinates import length_m
from planner.world.readers.aixm.element import child, children, names_of, reference, text
from planner.world.readers.aixm.geometry import line, surface
from planner.world.readers.aixm.timesheets import hours_text
from planner.world.readers.curves import strip
from planner.world.readers.plain import one_line
from planner.world.readers.row import RefusedError

_LIMITS = ("LOWER_VAL", "LOWER_UOM", "LOWER_CODE", "UPPER_VAL", "UPPER_UOM", "UPPER_CODE")


@attrs.frozen
class Limits:
    """Vertical limits as written: value, unit and reference of the lower and the upper one."""

    lower: tuple[str, str, str] = ("", "", "")
    upper: tuple[str, str, str] = ("", "", "")

    def attributes(self) -> dict[str, object]:
        """Return them under the names of the authority's own layers."""
        return dict(zip(_LIMITS, (*self.lower, *self.upper), strict=True))


@attrs.frozen(eq=False)
class Component:
    """One term of the sum that an airspace is: a volume of its own, or another airspace."""

    operation: str
    order: int
    limits: Limits
    outline: BaseGeometry | None = None
    other: str = ""
    only_outline: bool = False
    fault: str = ""


@attrs.frozen(eq=False)
class Feature:
    """An airspace's time slice."""

    names: tuple[str, ...]
    attributes: dict[str, object]
    letters: tuple[str, ...]
    type: str
    hours: str
    components: tuple[Component, ...]
    begins: str = ""
    fault: str = ""


def features_of(airspace: Element) -> tuple[Feature, ...]:
    """Return the time slices of an airspace, those that only change it marked as not applied."""
    slices = [
        found for part in children(airspace, "timeSlice") for found in children(part, "AirspaceTimeSlice")
    ]
    return tuple(_feature(airspace, part) for part in slices) or (
        Feature(names_of(airspace), {}, (), "", "", (), fault="it has no time slice"),
    )


def _feature(airspace: Element, slice_: Element) -> Feature:
    interpretation = text(slice_, "interpretation").upper()
    names = names_of(airspace)
    return Feature(
        names=names,
        attributes={
            "IDENT": one_line(text(slice_, "designator")),
            "NAME": one_line(text(slice_, "name") or text(slice_, "designator")),
            "LOCAL_NAME": one_line(text(slice_, "localType")),
            "MIL_CODE": one_line(text(slice_, "controlType")),
            "GLOBAL_ID": names[0] if names else "",
        },
        letters=_letters(slice_),
        type=text(slice_, "type").upper(),
        hours=hours_text(slice_),
        components=tuple(_component(part) for part in _ordered(slice_)),
        begins=text(slice_, "validTime", "TimePeriod", "beginPosition"),
        fault=(
            ""
            if interpretation in {"", "BASELINE", "SNAPSHOT"}
            else f"a change of the kind {one_line(interpretation)[:20]} is not applied"
        ),
    )


def _letters(slice_: Element) -> tuple[str, ...]:
    said = (text(part, "AirspaceLayerClass", "classification").upper() for part in children(slice_, "class"))
    return tuple(sorted({letter for letter in said if letter}))


def _ordered(slice_: Element) -> list[Element]:
    parts = [
        found
        for part in children(slice_, "geometryComponent")
        if (found := child(part, "AirspaceGeometryComponent")) is not None
    ]
    return sorted(parts, key=_order)


def _order(component: Element) -> int:
    said = text(component, "operationSequence")
    return int(said) if said.isdigit() and len(said) < 9 else 0


def _component(element: Element) -> Component:
    volume = child(element, "theAirspaceVolume", "AirspaceVolume")
    operation = text(element, "operation").upper() or "BASE"
    limits = _limits(volume)
    outline, other, only_outline, fault = None, "", False, ""
    dependency = child(volume, "contributorAirspace", "AirspaceVolumeDependency")
    try:
        if dependency is not None:
            other = reference(child(dependency, "theAirspace"))
            only_outline = text(dependency, "dependency").upper() == "HORZ_PROJECTION"
        else:
            outline = _outline(volume)
    except RefusedError as error:
        fault = str(error)
    return Component(operation, _order(element), limits, outline, other, only_outline, fault)


def _outline(volume: Element | None) -> BaseGeometry:
    if volume is None:
        raise RefusedError("a part of it has no volume")
    projection = child(volume, "horizontalProjection", "Surface")
    if projection is not None:
        return surface(projection)
    centreline = child(volume, "centreline", "Curve")
    if centreline is None:
        raise RefusedError("a part of it has neither a surface nor a centreline")
    return strip(line(centreline), length_m(child(volume, "width"), "the width"))


def _limits(volume: Element | None) -> Limits:
    return Limits(_limit(volume, "lower"), _limit(volume, "upper"))


def _limit(volume: Element | None, which: str) -> tuple[str, str, str]:
    value = child(volume, f"{which}Limit")
    said = one_line(text(volume, f"{which}Limit"))
    unit = value.get("uom", "").upper() if value is not None else ""
    return said, one_line(unit) if said else "", one_line(text(volume, f"{which}LimitReference")).upper()
