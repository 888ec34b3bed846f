"""A copy of the briefing's template that its user may change."""

from pathlib import Path

from planner.atomic import write_bytes
from planner.errors import OutputError
from planner.locate import resources_dir

PARTS = ("briefing.typ", "observer.typ", "parts.typ", "papers.typ", "pilot.typ", "card.typ")


def write_template(folder: Path) -> None:
    """Write the template's files into a folder, made if it is not there.

    Raises
    ------
    OutputError
        If one of them is there already, or can't be written.
    """
    there = [name for name in PARTS if (folder / name).exists()]
    if there:
        raise OutputError(
            f"{there[0]} is there already; nothing was written", where=str(folder), remedy="name a new folder"
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"the folder can't be made ({error.strerror})", where=str(folder), remedy="name another"
        ) from error
    for name in PARTS:
        write_bytes(folder / name, (resources_dir() / "briefing" / name).read_bytes())
