"""A process of its own that records without end, says each record when it is told that it is safe, and can be slow.

Arguments: folder, own name, the most bytes of one write (0: all). Short writes with pauses let `kill -9` tear a line.
"""

from __future__ import annotations

import os
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

from ufh_core.records import ledger


def main() -> None:
    folder, name, most = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    if most:
        write = os.write

        def few(file: int, content: memoryview) -> int:
            time.sleep(0.0005)
            return write(file, content[:most])

        ledger.os.write = few  # type: ignore[attr-defined]
    k = 0
    while True:
        k += 1
        new = ledger.NewLine(
            at=datetime.now(UTC), role="fitter", person=name, kind="test", design="", values={"k": k, "text": "ä" * 40}
        )
        number = ledger.add(folder, new).line.number
        sys.stdout.write(f"{number} {k}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
