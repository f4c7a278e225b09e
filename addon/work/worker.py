"""The process that does one task: `python worker.py FOLDER`, where FOLDER holds path.json and task.pickle.

It writes lines of JSON (what, share) to standard output and answer.pickle into FOLDER: ("done", value),
("mistake", one line for people) or ("fault", one line for whoever mends it). A file named stop in FOLDER, or
the usual signal to end, ends it as if by the keyboard, so that half-written results are taken away.
"""

from __future__ import annotations

import json
import pickle
import signal
import sys
import traceback
from pathlib import Path
from typing import Any


def main(folder: Path) -> None:
    """Do the task in `folder` and leave the answer there."""
    sys.path[:] = json.loads((folder / "path.json").read_text(encoding="utf-8"))
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    answer = _answer(folder)
    unfinished = folder / "answer.part"
    unfinished.write_bytes(pickle.dumps(answer, pickle.HIGHEST_PROTOCOL))
    unfinished.replace(folder / "answer.pickle")


def _answer(folder: Path) -> tuple[str, Any]:
    """What came of the task."""
    from ufh_core.basis.errors import UfhError

    try:
        return "done", _work(folder)
    except UfhError as error:
        return "mistake", str(error)
    except MemoryError:
        return "mistake", "not enough memory for this model; close other programs, or design one storey at a time"
    except Exception as error:
        traceback.print_exc()
        return "fault", f"{type(error).__name__}: {error}"


def _work(folder: Path) -> Any:
    """Do the task."""
    name, arguments = pickle.loads((folder / "task.pickle").read_bytes())

    def tell(what: str, share: float) -> None:
        if (folder / "stop").exists():
            raise KeyboardInterrupt
        sys.stdout.write(json.dumps([what, share]) + "\n")
        sys.stdout.flush()

    return _tasks()[name](tell, **arguments)


def _tasks() -> dict[str, Any]:
    """The tasks, from the file beside this one: the package around it would ask for the host."""
    import importlib.util

    spec = importlib.util.spec_from_file_location("warmloom_tasks", Path(__file__).with_name("tasks.py"))
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return dict(module.TASKS)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
