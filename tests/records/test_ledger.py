"""The file of records: nothing that was told as recorded is lost, and no change goes unseen. With real processes."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ufh_core.basis.errors import OutputError
from ufh_core.records import ledger
from ufh_core.records.chain import Chain, chain_of, digest, line_of
from ufh_core.records.ledger import FILE, SET_ASIDE, NewLine, add, read_ledger

ROOT = Path(__file__).resolve().parents[2]
WRITER = Path(__file__).with_name("ledger_writer.py")
AT = datetime(2031, 5, 6, 7, 8, 9, tzinfo=UTC)


def new(k: int, text: str = "x") -> NewLine:
    return NewLine(at=AT, role="fitter", person="", kind="test", design="d", values={"k": k, "text": text})


def writer(folder: Path, name: str, most: int) -> subprocess.Popen[str]:
    where = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    return subprocess.Popen(
        [sys.executable, str(WRITER), str(folder), name, str(most)],
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": where},
    )


def test_a_line_says_when_who_and_what(tmp_path: Path) -> None:
    added = add(tmp_path, new(1, "Küche \u202e<script>"))
    chain = read_ledger(tmp_path)
    assert (tmp_path / FILE).read_bytes() == added.line.raw + b"\n"
    assert chain == Chain(lines=(added.line,), next_number=2, last_digest=digest(added.line.raw))
    assert (added.line.at, added.line.role) == ("2031-05-06T07:08:09.000Z", "fitter")
    assert chain.lines[0].values == {"k": 1, "text": "Küche \u202e<script>"}


def test_processes_that_are_killed_at_random_lose_nothing(tmp_path: Path) -> None:
    """Eight writers at once, killed with SIGKILL one after the other and replaced; half of them write bit by bit."""
    chance = random.Random(5)
    told: dict[str, list[tuple[int, int]]] = {}
    running: list[tuple[str, subprocess.Popen[str]]] = []
    for k in range(8):
        running.append((f"w{k}", writer(tmp_path, f"w{k}", 17 * (k % 2))))
    time.sleep(1.0)
    for k in range(8, 20):
        time.sleep(chance.uniform(0.02, 0.25))
        name, victim = running.pop(0)
        told[name] = _killed(victim)
        if k < 14:
            running.append((f"w{k}", writer(tmp_path, f"w{k}", 17 * (k % 2))))
    for name, victim in running:
        told[name] = _killed(victim)
    add(tmp_path, new(0))
    chain = read_ledger(tmp_path)
    assert chain.faults == () and chain.torn == b""
    assert [line.number for line in chain.lines] == list(range(1, len(chain.lines) + 1))
    found = {(line.person, line.number, line.values.get("k")) for line in chain.lines}
    sure = {(name, number, k) for name, pairs in told.items() for number, k in pairs}
    assert len(sure) > 50
    assert sure <= found
    _each_torn_line_is_kept(tmp_path, chain)


def _killed(victim: subprocess.Popen[str]) -> list[tuple[int, int]]:
    """Kill a writer; what it was told as recorded, but for a last line that it could not say to its end."""
    victim.send_signal(signal.SIGKILL)
    text, _ = victim.communicate(timeout=30)
    return [(int(a), int(b)) for a, b in (line.split() for line in text.split("\n")[:-1])]


def _each_torn_line_is_kept(folder: Path, chain: Chain) -> None:
    told = [line for line in chain.lines if line.kind == SET_ASIDE]
    for line in told:
        kept = (folder / line.values["file"]).read_bytes()
        assert (len(kept), digest(kept)) == (line.values["bytes"], line.values["sha256"])


def test_killing_a_slow_writer_tears_a_line_which_is_put_aside(tmp_path: Path) -> None:
    """That the test above does tear lines: a writer of 3 bytes at a time is killed until one is torn."""
    for attempt in range(40):
        one = writer(tmp_path, f"s{attempt}", 3)
        assert one.stdout is not None and one.stdout.readline()
        time.sleep(0.005 + 0.003 * attempt)
        one.kill()
        one.communicate()
        content = (tmp_path / FILE).read_bytes()
        if not content.endswith(b"\n"):
            break
    torn = content.rpartition(b"\n")[2]
    before = len(read_ledger(tmp_path).lines)
    assert torn and read_ledger(tmp_path).torn == torn
    added = add(tmp_path, new(1))
    assert added.set_aside is not None and added.set_aside.read_bytes() == torn
    chain = read_ledger(tmp_path)
    assert not chain.faults and not chain.torn and len(chain.lines) == before + 2
    assert chain.lines[-2].kind == SET_ASIDE


def test_a_file_cut_anywhere_keeps_all_whole_lines(tmp_path: Path) -> None:
    for k in range(3):
        add(tmp_path, new(k))
    whole = (tmp_path / FILE).read_bytes()
    begin = whole.rstrip(b"\n").rindex(b"\n") + 1
    for cut in range(begin, len(whole)):
        folder = tmp_path / str(cut)
        folder.mkdir()
        (folder / FILE).write_bytes(whole[:cut])
        added = add(folder, new(9))
        chain = read_ledger(folder)
        kinds = [line.kind for line in chain.lines]
        assert not chain.faults and not chain.torn
        if cut == begin:
            assert kinds == ["test"] * 3
        elif cut == len(whole) - 1:  # only the end of the line was missing: the record is there
            assert kinds == ["test"] * 4 and added.set_aside is None
        else:
            assert kinds == ["test", "test", SET_ASIDE, "test"]
            assert added.set_aside is not None and added.set_aside.read_bytes() == whole[begin:cut]


def test_every_changed_byte_is_found_in_its_line(tmp_path: Path) -> None:
    for k in range(4):
        add(tmp_path, new(k))
    whole = (tmp_path / FILE).read_bytes()
    for at in range(len(whole)):
        for other in (whole[at] ^ 1, whole[at] ^ 32, 10):
            if other == whole[at]:
                continue
            chain = chain_of(whole[:at] + bytes([other]) + whole[at + 1 :])
            line = whole[:at].count(b"\n") + 1
            if chain.faults:
                assert chain.faults[0].line == line, (at, other)
            else:  # the end of the last line
                assert at == len(whole) - 1 and chain.torn


def test_lines_taken_out_put_in_or_written_anew_are_found(tmp_path: Path) -> None:
    for k in range(4):
        add(tmp_path, new(k))
    one, two, three, four = (tmp_path / FILE).read_bytes().splitlines(keepends=True)
    assert [(f.line, f.spoilt) for f in chain_of(one + three + four).faults] == [(2, False)]
    assert chain_of(one + two + two + three + four).faults[0].line == 3
    assert chain_of(two + three + four).faults[0].line == 1
    forged = line_of(2, digest(one.rstrip()), AT, "fitter", "", "test", "d", {"k": 77, "text": "x"})
    chain = chain_of(one + forged.raw + b"\n" + three + four)
    assert [(f.line, f.spoilt) for f in chain.faults] == [(2, True)]
    assert 77 not in [line.values["k"] for line in chain.lines] and len(chain.lines) == 3


def test_a_file_written_anew_to_its_end_shows_in_the_last_digest(tmp_path: Path) -> None:
    """The limit of a chain, as told in its module: the digest that was printed and signed differs."""
    for k in range(2):
        add(tmp_path, new(k))
    signed = read_ledger(tmp_path).last_digest
    other = tmp_path / "other"
    other.mkdir()
    add(other, new(7))
    add(other, new(1))
    assert not read_ledger(other).faults and read_ledger(other).last_digest != signed


def test_records_go_on_behind_a_changed_line(tmp_path: Path) -> None:
    for k in range(2):
        add(tmp_path, new(k))
    path = tmp_path / FILE
    path.write_bytes(path.read_bytes().replace(b'"k":1', b'"k":2'))
    add(tmp_path, new(3))
    add(tmp_path, new(4))
    chain = read_ledger(tmp_path)
    assert [fault.line for fault in chain.faults] == [2]
    assert [line.values["k"] for line in chain.lines] == [0, 3, 4]


def test_a_full_disk_leaves_the_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    add(tmp_path, new(1))
    before = (tmp_path / FILE).read_bytes()
    write, calls = os.write, []

    def full(file: int, content: bytes) -> int:
        calls.append(file)
        if len(calls) > 1:
            raise OSError(28, "No space left on device")
        return write(file, content[:20])

    monkeypatch.setattr(ledger.os, "write", full)
    with pytest.raises(OutputError, match="No space left on device; nothing was recorded"):
        add(tmp_path, new(2))
    monkeypatch.undo()
    assert (tmp_path / FILE).read_bytes() == before
    assert add(tmp_path, new(2)).line.number == 2


def test_what_is_recorded_was_flushed_before(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[bytes] = []
    monkeypatch.setattr(ledger, "_flush", lambda _file: seen.append((tmp_path / FILE).read_bytes()))
    added = add(tmp_path, new(1))
    assert seen[-1].endswith(added.line.raw + b"\n")


_HOLDER = "import sys;from filelock import FileLock\nwith FileLock(sys.argv[1]):\n print(flush=True)\n input()"


def test_a_writer_that_does_not_end_is_not_waited_for_without_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ledger, "PATIENCE_S", 0.05)
    holder = subprocess.Popen(
        [sys.executable, "-c", _HOLDER, str(tmp_path / ledger.LOCK)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert holder.stdout is not None and holder.stdout.readline()
    with pytest.raises(OutputError, match=r"another program has been writing for 0\.05 s; nothing was recorded"):
        add(tmp_path, new(1))
    holder.kill()
    holder.communicate()
    assert add(tmp_path, new(1)).line.number == 1
