"""The add-on in a real window: a virtual screen, real clicks from the example to the results, a picture to look at.

Runs where a whole host, `Xvfb`, `xdotool` and ImageMagick's `import` are installed (on Debian: apt install blender
xvfb xdotool imagemagick), and is skipped elsewhere. Buttons are found as a user's script would learn of them: the host
copies the command of the button under the pointer. `WARMLOOM_WINDOW_PICTURES` names a folder for the pictures.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sysconfig
import time
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROGRAMS = ("blender", "Xvfb", "xdotool", "import")
MISSING = [name for name in PROGRAMS if shutil.which(name) is None]
MISSING += (
    [] if find_spec("bpy") else ["bpy"]
)  # runs with the other tests of the add-on, not a second time with all others
pytestmark = pytest.mark.skipif(bool(MISSING), reason=f"no real window here: {', '.join(MISSING)} not installed")

DISPLAY, WIDE, TALL = ":91", 1600, 1000
PATIENCE_S = 240.0
TAB_FROM_RIGHT_PX, STEP_PX = 14, 16


class Window:
    """The host's window, driven by the pointer and the keyboard."""

    def __init__(self, folder: Path) -> None:
        self.says, self.environment = folder / "says", {**os.environ, "DISPLAY": DISPLAY}

    def said(self) -> list[str]:
        """Sidebar's place, clipboard, number of rooms, headline, number of pipes drawn."""
        lines = self.says.read_text(encoding="utf-8").split("\n") if self.says.exists() else []
        return lines if len(lines) >= 5 else []

    def do(self, *words: object) -> None:
        """Have the pointer or the keyboard do something."""
        subprocess.run(["xdotool", *map(str, words)], env=self.environment, check=True)

    def wait(self, what: str, is_so: object) -> list[str]:
        """Wait until the host says so."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            if (lines := self.said()) and is_so(lines):  # type: ignore[operator]
                return lines
            time.sleep(0.3)
        raise AssertionError(f"waited in vain for {what}; the host says {self.said()}")

    def click(self, x: int, y: int) -> None:
        """A click with the left button."""
        self.do("mousemove", x, y, "sleep", 0.4, "click", 1)
        time.sleep(1.0)

    def button(self, command: str) -> tuple[int, int]:
        """Where the button with an operator's command is: the host copies the command under the pointer."""
        left, top, width, height = map(int, self.said()[0].split())
        x = left + (width - 20) // 2
        for y in range(top + 20, top + height, STEP_PX):
            self.do("mousemove", x, y, "sleep", 0.2, "key", "ctrl+c", "sleep", 0.5)
            if command in self.said()[1]:
                return x, y
        raise AssertionError(f"no button of {command} is in the sidebar")

    def picture(self, name: str) -> Path:
        """A picture of the window."""
        folder = Path(os.environ.get("WARMLOOM_WINDOW_PICTURES", self.says.parent))
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"{name}.png"
        subprocess.run(["import", "-window", "root", str(path)], env=self.environment, check=True)
        return path


def site(folder: Path) -> Path:
    """The packages of this environment without a host's module, which the real host must not find."""
    made = folder / "site"
    made.mkdir()
    for path in Path(sysconfig.get_paths()["platlib"]).iterdir():
        if not path.name.startswith(("bpy", "warmloom", "__editable__")) and path.suffix != ".pth":
            (made / path.name).symlink_to(path)
    return made


@pytest.fixture
def window(tmp_path: Path) -> Iterator[Window]:
    """The host in a window of a virtual screen; both are ended afterwards."""
    screen = subprocess.Popen(["Xvfb", DISPLAY, "-screen", "0", f"{WIDE}x{TALL}x24"], stderr=subprocess.DEVNULL)
    made = Window(tmp_path)
    own = {
        **made.environment,
        "PATH": "/usr/bin:/bin",  # the host finds its own Python there
        "PYTHONPATH": f"{ROOT}{os.pathsep}{site(tmp_path)}",
        "LIBGL_ALWAYS_SOFTWARE": "1",
        "WARMLOOM_SAYS": str(made.says),
    }
    start = ["--factory-startup", "--window-geometry", "0", "0", str(WIDE), str(TALL), "-P"]
    with (tmp_path / "host.log").open("wb") as log:
        time.sleep(1.0)
        host = subprocess.Popen(
            ["blender", *start, str(Path(__file__).with_name("window_host.py"))], env=own, stdout=log, stderr=log
        )
    try:
        yield made
    finally:
        for process in (host, screen):
            process.kill()
            process.wait()


def test_from_the_example_to_the_results_by_real_clicks(window: Window) -> None:
    left, top, width, height = map(int, window.wait("the sidebar", lambda s: len(s[0].split()) == 4)[0].split())
    for y in range(top + 30, top + height // 3, 45):  # the tabs, from the top; only ours has the button
        window.click(left + width - TAB_FROM_RIGHT_PX, y)
        window.do("mousemove", left + (width - 20) // 2, top + 125, "sleep", 0.3, "key", "ctrl+c")
        time.sleep(0.6)
        if "warmloom" in window.said()[1]:
            break
    window.picture("1-sidebar")
    window.click(*window.button("warmloom.read_example"))
    assert window.wait("the rooms", lambda s: s[2] != "0")[2] == "11"
    time.sleep(3.0)
    window.picture("2-building")
    window.click(*window.button("warmloom.design"))
    said = window.wait("the design", lambda s: bool(s[3]))
    assert "9 heated" in said[3]
    assert int(window.wait("the pipes", lambda s: int(s[4]) > 0)[4]) > 20
    time.sleep(3.0)
    assert window.picture("3-results").stat().st_size > 50_000
    for _ in range(4):  # down to the circuits and the findings
        window.do("mousemove", left + (width - 20) // 2, top + height // 2, "click", 5, "click", 5, "click", 5)
    time.sleep(2.0)
    window.picture("4-circuits")
