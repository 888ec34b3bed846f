"""How the C library keeps freed memory: one desk runs all day."""

import contextlib
import ctypes
import sys

_ARENA_MAX, _TRIM_THRESHOLD, _MMAP_THRESHOLD = -8, -1, -3
_MB = 1024 * 1024


def give_memory_back() -> bool:
    """Let glibc share two heaps among all threads and return what is free; whether it could be asked.

    By itself it gives each thread a heap of its own and keeps what is freed
    there: workers come and go with every edit, and a desk that holds 150 MB
    would take 400. Call it before threads are started. Other C libraries are
    left as they are.
    """
    if not sys.platform.startswith("linux"):
        return False
    try:
        mallopt = ctypes.CDLL(None).mallopt
    except (OSError, AttributeError):
        return False
    settings = ((_ARENA_MAX, 2), (_TRIM_THRESHOLD, _MB), (_MMAP_THRESHOLD, _MB))
    return all(mallopt(name, value) == 1 for name, value in settings)


def give_back_now() -> None:
    """Return what is free between pieces in use, too; takes some hundredths of a second for 100 MB.

    glibc returns by itself what is free at the end of a heap only. Other C libraries are left as they are.
    """
    if sys.platform.startswith("linux"):
        with contextlib.suppress(OSError, AttributeError):
            ctypes.CDLL(None).malloc_trim(0)
