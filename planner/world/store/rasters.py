"""Rasters of terrain in a chart set: taken in with all that says where they lie, proved when they are used.

The grid of a raster may stand beside it (a world file, a header, a projection) or in its very name; what
the set keeps is therefore one GeoTIFF that holds everything itself, or a copy of a file that already does.
"""

import hashlib
import shutil
import warnings
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

import rasterio
import rasterio.errors
import rasterio.shutil
from rasterio.io import DatasetReader
from shapely.geometry.base import BaseGeometry

from planner.errors import ChartError, OutputError
from planner.world.extent import Extent
from planner.world.readers.form import refuse_lead
from planner.world.readers.terrain import read_terrain
from planner.world.set_record import TerrainEntry

TERRAIN_FOLDER = "terrain"
DIGEST = "sha256"
_CHUNK_BYTES = 1 << 20
_SAME_DEG = 1e-8


def taken_in(folder: Path, path: Path) -> dict[str, Any]:
    """Put a raster into a set under a name of its own; return what its entry says of the file.

    Returns
    -------
    dict
        `file` (inside the set), `source`, `sha256`, `bounds` [deg] of its cell centres, and `outline`
        (not for the record): the coverage that the raster has by itself.

    Raises
    ------
    ChartError
        If it is no raster of heights on a known grid, or can't be kept with its grid.
    OutputError
        If it can't be written.
    """
    outline = _coverage_of(path)
    digest = _digest_of(path)[:12]
    target = folder / TERRAIN_FOLDER / f"{path.stem}-{digest}.tif"
    aside = target.with_name(f".{target.stem}.part.tif")
    try:
        target.parent.mkdir(exist_ok=True)
        if not target.exists():
            _write_whole(path, aside)
            _check_same_place(path, outline, _coverage_of(aside))
            aside.replace(target)
    except OSError as error:
        raise OutputError(
            f"can't be copied into the set ({error.strerror or error})",
            where=str(path),
            remedy="check the disk's room",
        ) from error
    finally:
        for left in (aside, _beside(aside)):
            left.unlink(missing_ok=True)
    return {
        "file": f"{TERRAIN_FOLDER}/{target.name}",
        "source": path.name,
        DIGEST: _digest_of(target),
        "bounds": None if outline is None else list(outline.bounds),
        "outline": outline,
    }


def in_place_of(old: dict[str, Any], new: dict[str, Any]) -> bool:
    """Whether a new raster is the next edition of one that is there: of one file name, on one place.

    Tiles of a survey may be of one name in folders of their own; neither replaces the other.
    """
    if old.get("file") == new["file"]:
        return True
    if old.get("source") != new["source"]:
        return False
    before, after = old.get("bounds"), new["bounds"]
    if not isinstance(before, list) or not isinstance(after, list) or len(before) != len(after):
        return True
    return all(abs(one - other) < _SAME_DEG for one, other in zip(before, after, strict=True))


def remove_unlisted(folder: Path, listed: Sequence[Any], files: Sequence[str]) -> None:
    """Remove rasters that the set does not name any more."""
    for name in files:
        path = folder / name
        if name not in listed and path.parent.resolve() == (folder / TERRAIN_FOLDER).resolve():
            path.unlink(missing_ok=True)


def raster_fault(folder: Path, entry: TerrainEntry, *, read_all: bool = False) -> str:
    """Return why a set's raster can't be relied on, else ''.

    Where it was written down, its digest is compared, once a process for each state of the file;
    otherwise every cell is read if `read_all`.
    """
    path = folder / entry.file
    outside = lies_outside(folder, entry)
    if outside:
        return outside
    try:
        state = path.stat()
        return _fault(path, entry.digest, read_all, (state.st_size, state.st_mtime_ns, state.st_ctime_ns))
    except OSError as error:
        return f"{entry.file}: can't be read ({error.strerror or error})"


def lies_outside(folder: Path, entry: TerrainEntry) -> str:
    """Return that an entry names no file of the set's own, else ''."""
    inside = entry.file and (folder / entry.file).resolve().is_relative_to(folder.resolve())
    return "" if inside else f"its file {entry.file!r} lies outside the chart set"


@lru_cache(maxsize=256)
def _fault(path: Path, digest: str, read_all: bool, _state: tuple[int, int, int]) -> str:
    if digest:
        return "" if _digest_of(path) == digest else f"{path.name} is not as it was written"
    if not read_all:
        return ""
    try:
        _coverage_of(path)
        with rasterio.open(path) as dataset:
            for _, window in dataset.block_windows(1):
                dataset.read(1, window=window)
    except ChartError as error:
        return f"{path.name}: {error.what}"
    except rasterio.errors.RasterioError:
        return f"{path.name}: the raster is damaged or incomplete"
    return ""


def _coverage_of(path: Path) -> BaseGeometry | None:
    """Return where a raster speaks by itself, once it has been read as terrain in its middle."""
    _, record = read_terrain(path, None, Extent(0.0, 0.0, 0.0, 0.0))
    refuse_lead(path)
    if record.coverage is not None:
        middle = record.coverage.representative_point()
        read_terrain(path, None, Extent(middle.x, middle.y, middle.x, middle.y))
    return record.coverage


def _write_whole(path: Path, target: Path) -> None:
    with rasterio.open(path) as source:
        if source.driver == "GTiff" and len(source.files) == 1:
            shutil.copyfile(path, target)
            return
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                rasterio.shutil.copy(
                    source,
                    target,
                    driver="GTiff",
                    compress="DEFLATE",
                    predictor=2 if "int" in source.dtypes[0] else 3,
                    tiled=True,
                    bigtiff="IF_SAFER",
                )
        except rasterio.errors.RasterioError as error:
            raise OutputError(
                f"can't be copied into the set ({error})", where=str(path), remedy="check the disk's room"
            ) from error
        # What GeoTIFF can't hold would stand beside it: then the copy must be the same without.
        _beside(target).unlink(missing_ok=True)
        with rasterio.open(target) as copy:
            if _said_by(copy) != _said_by(source) or copy.checksum(1) != source.checksum(1):
                raise _lossy(path)


def _check_same_place(path: Path, given: BaseGeometry | None, kept: BaseGeometry | None) -> None:
    """Refuse a copy that lies elsewhere; its coordinate system may be written in other words."""
    same = given is kept or (given is not None and kept is not None and kept.equals_exact(given, _SAME_DEG))
    if not same:
        raise _lossy(path)


def _lossy(path: Path) -> ChartError:
    return ChartError(
        "can't be kept with all that says where and how high it lies",
        where=str(path),
        remedy="export it as GeoTIFF with its coordinate system",
    )


def _said_by(dataset: DatasetReader) -> tuple[object, ...]:
    return (
        dataset.shape,
        dataset.transform.to_gdal(),
        dataset.dtypes,
        str(dataset.nodata),
        (dataset.units[0] or "").strip(),
        dataset.scales,
        dataset.offsets,
        dataset.mask_flag_enums,
    )


def _beside(path: Path) -> Path:
    return path.with_name(f"{path.name}.aux.xml")


def _digest_of(path: Path) -> str:
    found = hashlib.sha256()
    with path.open("rb", buffering=0) as file:
        while chunk := file.read(_CHUNK_BYTES):
            found.update(chunk)
    return found.hexdigest()
