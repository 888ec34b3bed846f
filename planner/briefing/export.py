"""The flight for other programs: KML 2.3, GPX 1.1 and GeoJSON."""

from pathlib import Path

from planner.assessment import Assessment
from planner.atomic import write_bytes
from planner.briefing.export_geojson import flight_geojson
from planner.briefing.export_kml import flight_kml
from planner.briefing.gpx import flight_gpx
from planner.briefing.out_name import keep_plans
from planner.errors import OutputError

FORMATS = (".kml", ".gpx", ".geojson")


def write_export(assessment: Assessment, path: Path) -> None:
    """Write the flight in the format that the file's name asks for, in one step.

    Raises
    ------
    OutputError
        If the name ends otherwise or the file can't be written.
    """
    match path.suffix.casefold():
        case ".kml":
            text = flight_kml(assessment)
        case ".gpx":
            text = flight_gpx(assessment)
        case ".geojson" | ".json":
            text = flight_geojson(assessment)
        case _:
            raise OutputError(
                "a flight is exported as .kml, .gpx or .geojson",
                where=str(path),
                remedy="let the file's name end in one of them",
            )
    keep_plans(path)
    write_bytes(path, text.encode())
