"""What the C library counts as in use, Python's own small objects apart."""

import ctypes
import gc

import pytest

_FIELDS = ("arena", "free_pieces", "_", "mapped_pieces", "mapped", "__", "___", "in_use", "free", "top")


class _Counts(ctypes.Structure):
    _fields_ = [(name, ctypes.c_size_t) for name in _FIELDS]


def held_mb() -> float:
    """Return the MB that are allocated and not freed, of all threads; skips where only glibc could tell."""
    gc.collect()
    library = ctypes.CDLL(None)
    if not hasattr(library, "mallinfo2"):
        pytest.skip("only glibc counts what is in use (2.33 or later)")
    library.mallinfo2.restype = _Counts
    counts = library.mallinfo2()
    return float(counts.in_use + counts.mapped) / 1e6
