"""One task in a process of its own: started, asked how far it is, stopped. No call waits for it but `wait`."""

from __future__ import annotations

import json
import os
import pickle
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from enum import Enum
from pathlib import Path
from typing import IO, Any

from ufh_core.basis.errors import UfhError

from .interpreter import interpreter

PATIENCE_S = 5.0
"""How long a process that was asked to stop may take to tidy up."""

LAST_LINES = 2000
_LOOK_S = 0.02


class State(Enum):
    """Where a job is."""

    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"


class Job:
    """A task (see `tasks`) in a process of its own. `what` and `share` (0 to 1) tell how far it is."""

    def __init__(self, task: str, arguments: dict[str, Any]) -> None:
        """Start the process. Raises UfhError where it cannot be started."""
        self.what, self.share = "starting", 0.0
        self._folder = Path(tempfile.mkdtemp(prefix="warmloom-"))
        self._asked_to_stop: float | None = None
        self._ended: State | None = None
        try:
            self._prepare(task, arguments)
            self._process = self._started()
        except UfhError:
            shutil.rmtree(self._folder, ignore_errors=True)
            raise
        except OSError as error:
            shutil.rmtree(self._folder, ignore_errors=True)
            raise UfhError(f"no process could be started for the calculation: {error.strerror or error}") from None
        self._reader = threading.Thread(target=self._listen, args=(self._process.stdout,), daemon=True)
        self._reader.start()

    def state(self) -> State:
        """Where the job is now; returns at once."""
        if self._ended is None and self._process.poll() is None:
            self._press()
            return State.RUNNING
        if self._ended is None:
            self._ended = self._end_state()
        return self._ended

    def stop(self) -> None:
        """Ask the process to stop; it takes away what it had half written, then ends."""
        if self._asked_to_stop is None and self._process.poll() is None:
            self._asked_to_stop = time.monotonic()
            (self._folder / "stop").touch()
            if os.name == "posix":
                self._process.terminate()

    def wait(self) -> State:
        """Wait for the end; for scripts only."""
        while (state := self.state()) is State.RUNNING:
            time.sleep(_LOOK_S)
        return state

    def answer(self) -> Any:
        """What the task gave. Raises UfhError, one line, where it gave nothing."""
        file = self._folder / "answer.pickle"
        if not file.exists():
            raise UfhError(f"the calculation ended without an answer{self._last_words()}")
        kind, value = pickle.loads(file.read_bytes())  # written by our own process into a folder only we may enter
        if kind == "mistake":
            raise UfhError(value)
        if kind == "fault":
            raise UfhError(f"the calculation failed ({value}); please report it with the model, if you may share it")
        return value

    def close(self) -> None:
        """End the process if it still runs, and take its folder away."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()
        self._reader.join(timeout=1.0)
        if self._process.stdout is not None:
            self._process.stdout.close()
        shutil.rmtree(self._folder, ignore_errors=True)

    def _prepare(self, task: str, arguments: dict[str, Any]) -> None:
        (self._folder / "path.json").write_text(json.dumps([p or os.getcwd() for p in sys.path]), encoding="utf-8")
        (self._folder / "task.pickle").write_bytes(pickle.dumps((task, arguments), pickle.HIGHEST_PROTOCOL))

    def _started(self) -> subprocess.Popen[str]:
        command = [interpreter(), "-I", "-u", str(Path(__file__).with_name("worker.py")), str(self._folder)]
        with (self._folder / "errors.txt").open("wb") as errors:
            return subprocess.Popen(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=errors,
                text=True,
                encoding="utf-8",
                errors="replace",
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )

    def _listen(self, lines: IO[str] | None) -> None:
        """Take the process's lines as they come; runs in a thread."""
        for line in lines or ():
            try:
                what, share = json.loads(line)
                self.what, self.share = str(what), min(max(float(share), 0.0), 1.0)
            except (ValueError, TypeError):
                continue  # something else was printed

    def _press(self) -> None:
        """End a process that does not stop when asked."""
        if self._asked_to_stop is not None and time.monotonic() - self._asked_to_stop > PATIENCE_S:
            self._process.kill()

    def _end_state(self) -> State:
        if self._asked_to_stop is not None:
            return State.STOPPED
        return State.DONE if (self._folder / "answer.pickle").exists() else State.FAILED

    def _last_words(self) -> str:
        try:
            said = (self._folder / "errors.txt").read_text(encoding="utf-8", errors="replace")[-LAST_LINES:]
        except OSError:
            return ""
        lines = [line.strip() for line in said.splitlines() if line.strip()]
        return f": {lines[-1]}" if lines else f" (exit status {self._process.returncode})"
