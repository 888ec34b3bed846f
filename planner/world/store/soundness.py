"""Whether the GeoPackage of a chart set is still what was written: nothing in it may have gone unnoticed.

A page that is lost or an index that lost a row takes a restricted area away without any error of the
database, so the whole file is held against its digest, once a process for each state of the file.
"""

import hashlib
import sqlite3
from functools import lru_cache
from pathlib import Path

from planner.errors import ChartError
from planner.world.store.geopackage import TROUBLE, open_charts

_CHUNK_BYTES = 1 << 20
_HEADER_BYTES = 100
_EMPTY_FLAG = 0x10
# Journal mode, change counter, version of the writing library: a program that only looks may set them.
_LEFT_OUT = ((18, 20), (24, 28), (92, 100))


def digest_of(path: Path) -> str:
    """Return the digest of a GeoPackage, of all that its layers rest on (SHA-256, hexadecimal).

    What a viewer of the file may change in its header does not count.

    Raises
    ------
    OSError
        If it can't be read.
    """
    found = hashlib.sha256()
    with path.open("rb", buffering=0) as file:
        header = bytearray(file.read(_HEADER_BYTES))
        for begin, end in _LEFT_OUT:
            header[begin:end] = bytes(end - begin)
        found.update(header)
        while chunk := file.read(_CHUNK_BYTES):
            found.update(chunk)
    return found.hexdigest()


def charts_fault(path: Path, digest: str) -> str:
    """Return why a GeoPackage can't be relied on, else ''.

    Parameters
    ----------
    path : Path
        The GeoPackage.
    digest : str
        What `digest_of` gave when it was written; '': nobody wrote it down (a file made by hand),
        then tables and indices are held against each other.
    """
    try:
        if _has_pending_changes(path):
            return "another program has it open and has changed it"
        state = path.stat()
        return _fault(path, digest, (state.st_size, state.st_mtime_ns, state.st_ctime_ns, state.st_ino))
    except OSError as error:
        return f"it can't be read ({error.strerror or error})"


def _has_pending_changes(path: Path) -> bool:
    waiting = path.with_name(f"{path.name}-wal")
    return waiting.exists() and waiting.stat().st_size > 0


@lru_cache(maxsize=32)
def _fault(path: Path, digest: str, _state: tuple[int, int, int, int]) -> str:
    if not digest:
        return _contradiction(path)
    if digest_of(path) == digest:
        return ""
    return _contradiction(path) or "it is not as it was written: damaged, or changed by another program"


def _contradiction(path: Path) -> str:
    """Return what a check of every page, table and index of a file finds wrong with it, else ''."""
    try:
        with open_charts(path) as charts:
            return _page_fault(charts.connection) or _index_fault(charts.connection, charts.tables)
    except ChartError as error:
        return error.what


def _page_fault(connection: sqlite3.Connection) -> str:
    try:
        found = [str(row[0]) for row in connection.execute("PRAGMA quick_check(1)")]
    except TROUBLE as error:
        return str(error)
    return "" if found == ["ok"] else "; ".join(found)


def _index_fault(connection: sqlite3.Connection, tables: frozenset[str]) -> str:
    connection.create_function("has_shape", 1, _has_shape, deterministic=True)
    for table in sorted(tables):
        index = f"rtree_{table}_geom"
        if index not in tables:
            continue
        try:
            with_shape = _count(connection, f'"{table}" WHERE has_shape(geom)')
            indexed, listed = _count(connection, f'"{index}"'), _count(connection, f'"{index}_rowid"')
        except TROUBLE as error:
            return f"the index of {table}: {error}"
        if not indexed == listed == with_shape:
            return f"the index of {table} holds {indexed} features, its table {with_shape}"
    return ""


def _count(connection: sqlite3.Connection, what: str) -> int:
    (found,) = connection.execute(f"SELECT count(*) FROM {what}").fetchone()
    return int(found)


def _has_shape(blob: object) -> bool:
    """Whether a GeoPackage's shape is one; the flags of its header say so of an empty one."""
    return isinstance(blob, bytes) and len(blob) > 8 and not blob[3] & _EMPTY_FLAG
