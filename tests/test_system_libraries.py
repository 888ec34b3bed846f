"""Missing system libraries are named before Qt loads, and installed only where no desktop is at stake."""

import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from planner import system_libraries

WHAT_THE_DESK_LOADS = (
    "Qt/lib/libQt6WebEngineWidgets.so.6",
    "Qt/lib/libQt6WebEngineCore.so.6",
    "Qt/libexec/QtWebEngineProcess",
    "Qt/plugins/platforms/libqoffscreen.so",
    "Qt/plugins/platforms/libqwayland.so",
    "Qt/plugins/platforms/libqxcb.so",
)

linux_only = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="Linux only: Qt's wheels bring all"
)


@pytest.fixture
def bare(monkeypatch, tmp_path):
    """Pretend to be root on a bare Debian whose libraries load; tests take away what they need."""
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(system_libraries, "_DESKTOP_SESSIONS", (tmp_path / "none",))
    monkeypatch.setattr(system_libraries, "_PACKAGE_RECORDS", tmp_path)
    monkeypatch.setattr(system_libraries, "_has_apt", lambda: True)
    monkeypatch.setattr(system_libraries, "_is_root", lambda: True)
    monkeypatch.setattr(system_libraries, "_loads", lambda library: True)
    return tmp_path


@pytest.fixture
def commands(monkeypatch):
    """Record what would be run as a command, and let it succeed."""
    seen = []

    def run(command, **_):
        seen.append(" ".join(command))
        return subprocess.CompletedProcess(command, 0, "", "")

    monkeypatch.setattr(system_libraries.subprocess, "run", run)
    return seen


def lose(monkeypatch, *libraries):
    monkeypatch.setattr(system_libraries, "_loads", lambda library: library not in libraries)


@linux_only
def test_the_table_covers_what_the_dynamic_linker_asks_for():
    # Outside check: the system's own ldd resolves every library of the Qt parts that the desk loads.
    folder = Path(find_spec("PySide6").origin).parent
    for part in WHAT_THE_DESK_LOADS:
        listed = subprocess.run(["ldd", folder / part], capture_output=True, text=True, check=True).stdout
        lost = [line.strip() for line in listed.splitlines() if "not found" in line and "libQt6" not in line]
        assert lost == [], part
    assert system_libraries.missing() == []


@linux_only
def test_a_lost_library_is_named_with_the_exact_command(bare, monkeypatch):
    lose(monkeypatch, "libEGL.so.1", "libnss3.so")
    names = system_libraries.missing()
    assert names == ["libegl1", "libnss3"]
    line = system_libraries.one_line(names)
    assert line.endswith(": apt-get update && apt-get install -y --no-install-recommends libegl1 libnss3")
    assert "\n" not in line
    assert "sudo" not in line


@linux_only
def test_someone_who_is_not_root_is_told_to_use_sudo(bare, monkeypatch):
    monkeypatch.setattr(system_libraries, "_is_root", lambda: False)
    line = system_libraries.one_line(["libegl1"])
    assert "sudo apt-get update && sudo apt-get install" in line


@linux_only
def test_newer_releases_use_their_own_package_names(bare, monkeypatch):
    # Debian 13 release notes, section on 64-bit time_t: libraries whose interface changed end in t64.
    lose(monkeypatch, "libasound.so.2", "libglib-2.0.so.0", "libGL.so.1")
    (bare / "libssl3t64:amd64.list").touch()
    assert system_libraries.missing() == ["libasound2t64", "libgl1", "libglib2.0-0t64"]


@linux_only
def test_without_apt_the_libraries_themselves_are_named(bare, monkeypatch):
    monkeypatch.setattr(system_libraries, "_has_apt", lambda: False)
    lose(monkeypatch, "libEGL.so.1")
    assert system_libraries.missing() == ["libEGL.so.1"]
    assert "apt-get" not in system_libraries.one_line(["libEGL.so.1"])


@linux_only
def test_a_bare_system_gets_them_installed(bare, monkeypatch, commands, capsys):
    lose(monkeypatch, "libEGL.so.1")
    assert system_libraries.main(["--install"]) == 1
    assert commands == ["apt-get update", "apt-get install -y --no-install-recommends libegl1"]
    # The pretended command installed nothing, so the answer is still one line that says so.
    assert capsys.readouterr().err.count("\n") == 1


@linux_only
def test_a_user_installs_through_sudo(bare, monkeypatch, commands):
    monkeypatch.setattr(system_libraries, "_is_root", lambda: False)
    monkeypatch.setattr(system_libraries.shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(system_libraries.sys.stdin, "isatty", lambda: False, raising=False)
    lose(monkeypatch, "libEGL.so.1")
    system_libraries.main(["--install"])
    assert commands[-1] == "sudo --non-interactive apt-get install -y --no-install-recommends libegl1"


@linux_only
@pytest.mark.parametrize("desktop", ["DISPLAY", "WAYLAND_DISPLAY", "session"])
def test_nothing_is_installed_on_a_desktop(bare, monkeypatch, commands, capsys, desktop):
    lose(monkeypatch, "libEGL.so.1")
    if desktop == "session":
        monkeypatch.setattr(system_libraries, "_DESKTOP_SESSIONS", (bare,))
        (bare / "plain.desktop").touch()
    else:
        monkeypatch.setenv(desktop, ":0")
    assert system_libraries.main(["--install"]) == 1
    assert commands == []
    assert "libegl1" in capsys.readouterr().err


def test_nothing_missing_is_silent(bare, commands, capsys):
    assert system_libraries.main(["--install"]) == 0
    assert capsys.readouterr() == ("", "")
    assert commands == []
    assert system_libraries.one_line([]) == ""


@linux_only
def test_a_display_that_nobody_serves_is_no_screen(bare, monkeypatch, tmp_path):
    assert not system_libraries.has_screen()
    monkeypatch.setenv("DISPLAY", ":4711")
    monkeypatch.setenv("WAYLAND_DISPLAY", "nobody")
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    assert not system_libraries.has_screen()


def test_other_systems_need_nothing(monkeypatch):
    monkeypatch.setattr(system_libraries.sys, "platform", "darwin")
    assert system_libraries.missing() == []
    assert system_libraries.has_screen()
