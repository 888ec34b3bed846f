"""Fixed flying sites, areas exempt from Remote ID, and closed lands."""

from planner.units import FOOT_M
from planner.world.layers import LayerName
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import Row
from planner.world.readers.table import Table
from planner.world.sites import ClosedLand, ExemptArea, FixedSite
from planner.world.world import World


def read_fixed_sites(table: Table) -> Reading:
    """Return the fixed flying sites."""
    sites, refusals = collect(table, _fixed_site)
    return Reading(World(fixed_sites=tuple(sites)), refusals)


def read_exempt_areas(table: Table) -> Reading:
    """Return the exempt areas; one whose dates can't be read is refused, as it would grant."""
    areas, refusals = collect(table, _exempt_area)
    return Reading(World(exempt_areas=tuple(areas)), refusals)


def read_park_lands(table: Table) -> Reading:
    """Return the lands where launching is closed; only a clear 'open' opens them."""
    lands, refusals = collect(table, _closed_land)
    return Reading(World(closed_lands=tuple(lands)), refusals)


def _fixed_site(row: Row) -> FixedSite:
    ceiling_ft = row.number("CEILING")
    return FixedSite(
        key=row.text("SITE_ID") or row.content_key("site"),
        name=row.text("SITE_NAME", "SITE_ID"),
        outline=row.any_shape(),
        ceiling_agl_m=ceiling_ft * FOOT_M if ceiling_ft is not None and ceiling_ft >= 0.0 else None,
    )


def _exempt_area(row: Row) -> ExemptArea:
    return ExemptArea(
        key=row.text("REFNUMBER") or row.content_key("exempt"),
        name=row.text("TITLE", "ORGNAME"),
        outline=row.area(),
        # A bare day counts from its end and until its beginning: the narrower reading of a grant.
        start_utc=row.moment("STARTDATE", end_of_day=True),
        end_utc=row.moment("ENDDATE"),
    )


def _closed_land(row: Row) -> ClosedLand | None:
    outline = row.area()
    if row.text("LAUNCH").casefold() in {"open", "allowed", "permitted"}:
        return None
    return ClosedLand(
        key=row.content_key("park"), name=row.text("NAME"), outline=outline, operator=row.text("OPERATOR")
    )


FIXED_SITES = FileKind(
    LayerName.FIXED_SITES,
    "fixed flying sites",
    (frozenset({"SITE_ID", "SITE_NAME"}), frozenset({"CEILING"})),
    read_fixed_sites,
)
EXEMPT_AREAS = FileKind(
    LayerName.EXEMPT_AREAS,
    "Remote ID exempt areas",
    (frozenset({"REFNUMBER", "ORGNAME"}), frozenset({"STARTDATE", "ENDDATE"})),
    read_exempt_areas,
)
PARK_LANDS = FileKind(
    LayerName.PARK_LANDS,
    "park lands",
    (frozenset({"NAME"}), frozenset({"OPERATOR"}), frozenset({"LAUNCH"})),
    read_park_lands,
)
