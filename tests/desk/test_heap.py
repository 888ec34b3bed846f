"""What is freed goes back to the system: seen in a process of its own."""

import subprocess
import sys

import pytest

WORK = """
import ctypes, sys
from planner.desk.heap import give_back_now, give_memory_back
if sys.argv[1] == "asked" and not give_memory_back():
    sys.exit(3)
libc = ctypes.CDLL(None)
libc.malloc.restype, libc.free.argtypes = ctypes.c_void_p, [ctypes.c_void_p]
libc.memset.argtypes = [ctypes.c_void_p, ctypes.c_int, ctypes.c_size_t]

def piece(size):
    found = libc.malloc(size)
    libc.memset(found, 1, size)
    return found

# By itself glibc takes pieces of this size from the heap from now on.
libc.free(piece(20_000_000))
pieces = [piece(size) for _ in range(30) for size in (4_000_000, 200_000)]
for large in pieces[::2]:
    libc.free(large)
if sys.argv[1] == "now":
    give_back_now()
print(int(open("/proc/self/statm").read().split()[1]) * 4096 // 1_000_000)
"""


def resident_mb(how):
    done = subprocess.run([sys.executable, "-c", WORK, how], capture_output=True, text=True, timeout=60)
    if done.returncode == 3:
        pytest.skip("another C library than glibc keeps memory here")
    assert done.returncode == 0, done.stderr
    return int(done.stdout)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="asks glibc")
def test_large_pieces_that_are_freed_between_small_ones_are_given_back():
    """120 MB are written and freed, with 0.2 MB left after each 4."""
    kept_mb = resident_mb("not")
    assert resident_mb("asked") < kept_mb - 80
    assert resident_mb("now") < kept_mb - 80
