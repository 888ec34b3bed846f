"""Names under which nothing may be written: what leaves never takes the place of a plan."""

from pathlib import Path

from planner.errors import OutputError

PLAN_ENDINGS = (".lowline.geojson", ".plan.geojson")


def keep_plans(path: Path, plan: Path | None = None) -> None:
    """Refuse a name that is a plan's, by its ending or because it is that of the plan at hand.

    Raises
    ------
    OutputError
        If it is.
    """
    same = plan is not None and path.resolve() == plan.resolve()
    if same or path.name.casefold().endswith(PLAN_ENDINGS):
        raise OutputError(
            "this name is a plan's, and the plan would be lost" if same else "this name is a plan's",
            where=str(path),
            remedy="choose another name, such as flight.pdf or flight.geojson",
        )


def wants_ending(path: Path, ending: str, what: str) -> None:
    """Refuse a name that does not end as its content asks for.

    Raises
    ------
    OutputError
        If it ends otherwise.
    """
    if path.suffix.casefold() != ending:
        raise OutputError(
            f"{what} is written as {ending}", where=str(path), remedy=f"let the file's name end in {ending}"
        )
