"""Change a chart set in one step: whatever happens, the old set or the new one is there, whole.

The new GeoPackage is made beside the old one and carries the text of the
set.json that belongs to it, under a mark that both share, the edition. Moving
it over the old one is the step that counts; set.json follows. If set.json is
of another edition, the one inside the GeoPackage is taken (`set_text`).
"""

import contextlib
import json
import os
import secrets
import shutil
import sqlite3
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any, TypeAlias

from planner.atomic import write_text
from planner.errors import ChartError, OutputError
from planner.world.set_outlines import without_unused
from planner.world.set_record import CHARTS_DIGEST, FILE_NAME, read_set_text, set_content
from planner.world.store.geopackage import open_charts, remember_set, shrink
from planner.world.store.soundness import charts_fault, digest_of

CHARTS_NAME = "charts.gpkg"
LOCK_NAME = ".lowline-lock"

Document: TypeAlias = dict[str, Any]
Change: TypeAlias = Callable[[Path], None]

_ASIDE = ".lowline-charts-"


def set_text(folder: Path) -> str:
    """Return the text of a set's record, also where writing it was interrupted.

    Raises
    ------
    ChartError
        If there is none that can be read.
    """
    written = read_set_text(folder / FILE_NAME)
    kept = _kept_document(folder / CHARTS_NAME)
    if kept is None or kept[0] in {_edition_of(written), ""} or _edition_of(kept[1]) != kept[0]:
        return written
    return kept[1]


def set_document(folder: Path) -> Document:
    """Return a set's record as JSON values.

    Raises
    ------
    ChartError
        As `set_text`, or if it is no record of a set.
    """
    return dict(set_content(set_text(folder), folder / FILE_NAME))


def text_of(document: Mapping[str, object]) -> str:
    """Return a record as the text of its file."""
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold a set for writing; the lock ends with the process, however it ends.

    Raises
    ------
    OutputError
        If somebody else is writing it, or the folder can't be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(folder / LOCK_NAME, timeout=0.0, isolation_level=None)
    except (OSError, sqlite3.Error) as error:
        raise OutputError(
            f"the folder can't be written ({error})", where=str(folder), remedy="choose another folder"
        ) from error
    with closing(connection):
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error as error:
            raise OutputError(
                "somebody else is writing this chart set", where=str(folder), remedy="wait, then try again"
            ) from error
        _clear_asides(folder)
        yield


def commit_layers(folder: Path, document: Document, change: Change, changed: Collection[str]) -> None:
    """Put a changed GeoPackage and its record in the place of the old ones.

    Parameters
    ----------
    folder : Path
        The set, held by `locked`.
    document : dict
        Its record after the change.
    change : callable
        Writes the changed layers into the GeoPackage it is given.
    changed : collection of str
        Names of the layers that it writes whole.

    Raises
    ------
    ChartError
        If the GeoPackage is damaged, and layers would be kept from it.
    OutputError
        If that fails; the set is then as it was.
    """
    target = folder / CHARTS_NAME
    keeps = target.exists() and _is_worth_keeping(target, document, changed)
    aside = folder / f"{_ASIDE}{secrets.token_hex(6)}.gpkg"
    edition = secrets.token_hex(8)
    document = {**without_unused(document), "edition": edition}
    document.pop(CHARTS_DIGEST, None)
    try:
        if keeps:
            shutil.copyfile(target, aside)
        change(aside)
        remember_set(aside, edition, text_of(document))
        shrink(aside)
        _onto_disk(aside)
        text = text_of({**document, CHARTS_DIGEST: digest_of(aside)})
        aside.replace(target)
    except OSError as error:
        raise OutputError(
            f"the chart set can't be written ({error.strerror or error})",
            where=str(folder),
            remedy="check the disk's room and that no other program holds charts.gpkg open",
        ) from error
    finally:
        _clear_asides(folder)
    write_text(folder / FILE_NAME, text)


def _is_worth_keeping(target: Path, document: Document, changed: Collection[str]) -> bool:
    """Whether other layers stay with what is written: they must not come out of a damaged file as whole."""
    fault = charts_fault(target, str(document.get(CHARTS_DIGEST, "")))
    others = sorted(set(document.get("layers", {})) - set(changed))
    if fault and others:
        raise ChartError(
            f"{CHARTS_NAME} is damaged ({fault})",
            where=str(target.parent),
            remedy=f"give the files of {', '.join(others)} with these, all at once, or get the set again",
        )
    return not fault


def commit_record(folder: Path, document: Document) -> None:
    """Replace a set's record only; its GeoPackage stays, and so does the edition.

    Raises
    ------
    OutputError
        If it can't be written; the old record is then as it was.
    """
    write_text(folder / FILE_NAME, text_of(without_unused(document)))


def _kept_document(path: Path) -> tuple[str, str] | None:
    if not path.is_file():
        return None
    try:
        with open_charts(path) as charts:
            return charts.set_document()
    except ChartError:
        # What is wrong with the GeoPackage shows when its layers are read.
        return None


def _edition_of(text: str) -> str:
    try:
        content = json.loads(text)
    except (json.JSONDecodeError, RecursionError):
        return ""
    return str(content.get("edition", "")) if isinstance(content, dict) else ""


def _clear_asides(folder: Path) -> None:
    for left in folder.glob(f"{_ASIDE}*"):
        with contextlib.suppress(OSError):
            left.unlink()


def _onto_disk(path: Path) -> None:
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
