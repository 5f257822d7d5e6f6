"""What the log survives: kill -9, a full disk, a read-only folder, two counters at once, a damaged file."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from advisor.cases.backup import rescue, sound
from advisor.cases.errors import DamagedError, StoreError, UnreachableError
from advisor.cases.record import from_dict
from advisor.cases.store import Store
from tests.cases.making import case

_SAVING = Path(__file__).with_name("saving.py")
_MOST_S = 120.0


def _counter(url: str, count: int, name: str, *more: str, **options: object) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(_SAVING), url, str(count), name, *more], stdout=subprocess.PIPE, text=True, **options
    )  # type: ignore[call-overload]


def _saved(lines: list[str]) -> list[str]:
    return [line.split()[1] for line in lines if line.startswith("saved ")]


def _whole(url: str, acknowledged: list[str]) -> int:
    """Check that no acknowledged case is lost and every case that is there is whole; return how many there are."""
    with Store(url) as store:
        there = {from_dict_line(line) for line in store.lines()}
    assert set(acknowledged) <= there
    return len(there)


def from_dict_line(line: str) -> str:
    import json

    made = from_dict(json.loads(line))
    assert len(made.note) == 2000
    return made.id


def _killed_again_and_again(url: str, saves: int, least_kills: int, seed: int) -> None:
    chance = random.Random(seed)
    acknowledged: list[str] = []
    kills = 0
    end = time.monotonic() + _MOST_S
    while len(acknowledged) < saves or kills < least_kills:
        assert time.monotonic() < end
        counter = _counter(url, saves, f"K{kills}")
        assert counter.stdout
        lines = [counter.stdout.readline()]
        wanted = chance.randrange(1, max(2, 2 * saves // least_kills))
        while len(lines) <= wanted and lines[-1]:
            lines.append(counter.stdout.readline())
        time.sleep(chance.random() * 0.004)  # somewhere inside the next save
        counter.kill()
        lines += counter.stdout.readlines()
        counter.stdout.close()
        counter.wait()
        kills += 1
        acknowledged += _saved([line for line in lines if line.endswith("\n")])  # the kill may cut a line off too
    assert (
        _whole(url, acknowledged) - len(acknowledged) <= kills
    )  # at most the save that the kill cut off, done in full


def test_killed_at_random_points_no_acknowledged_case_is_lost_and_none_is_half(tmp_path: Path) -> None:
    _killed_again_and_again(f"sqlite:///{tmp_path / 'cases.sqlite'}", 60, 4, seed=1)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [2, 3])
def test_killed_at_random_points_during_200_saves(url: str, seed: int) -> None:
    _killed_again_and_again(url, 200, 25, seed)


def _at_once(url: str, count: int) -> None:
    counters = [_counter(url, count, name) for name in ("left", "right")]
    told = [counter.communicate(timeout=600)[0].splitlines() for counter in counters]
    assert [line for lines in told for line in lines if line.startswith("refused")] == []
    saved = [_saved(lines) for lines in told]
    assert [len(one) for one in saved] == [count, count]
    assert _whole(url, saved[0] + saved[1]) == 2 * count


def test_two_counters_at_once_lose_nothing_and_see_no_lock_error(url: str) -> None:
    _at_once(url, 100)


@pytest.mark.slow
def test_two_counters_with_5000_cases_each(url: str) -> None:
    _at_once(url, 5000)


def test_two_counters_that_open_a_new_log_at_the_same_moment_both_can(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'new' / 'cases.sqlite'}"
    counters = [_counter(url, 1, name) for name in "abcd"]
    told = [counter.communicate(timeout=60)[0].splitlines() for counter in counters]
    assert [lines[0] for lines in told] == ["open"] * 4
    with Store(url) as store:
        assert store.count() == 4


_OPENS_AT_A_WORD = """
import sys
from advisor.cases.store import Store
import alembic.config, alembic.runtime.environment, alembic.script
print("ready", flush=True)
sys.stdin.readline()
Store(sys.argv[1]).close()
print("open")
"""


@pytest.mark.slow
@pytest.mark.parametrize("round_", range(8))
def test_four_counters_that_open_a_new_log_in_the_same_instant_all_can(tmp_path: Path, round_: int) -> None:
    # All are started and only then told to open: without waiting for one another about one in eight rounds fails.
    url = f"sqlite:///{tmp_path / 'new' / 'cases.sqlite'}"
    command = [sys.executable, "-c", _OPENS_AT_A_WORD, url]
    counters = [subprocess.Popen(command, stdin=-1, stdout=-1, stderr=-1, text=True) for _ in range(4)]
    for counter in counters:
        assert counter.stdout is not None
        assert counter.stdout.readline() == "ready\n"
    for counter in counters:
        assert counter.stdin is not None
        counter.stdin.write("go\n")
        counter.stdin.flush()
    assert [counter.communicate(timeout=60) for counter in counters] == [("open\n", "")] * 4


def test_a_file_that_may_grow_no_further_is_said_and_keeps_what_was_acknowledged(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'cases.sqlite'}"
    Store(url).close()
    lines = _counter(url, 200, "full", "300000").communicate(timeout=60)[0].splitlines()
    refused = [line for line in lines if line.startswith("refused")]
    assert refused and "the case log" in refused[0] and str(tmp_path) in refused[0]
    assert _whole(url, _saved(lines)) == len(_saved(lines)) > 0
    assert sound(tmp_path / "cases.sqlite") == ""


def test_a_full_disk_is_said_and_keeps_what_was_acknowledged(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=800k", "tmpfs", str(disk)], capture_output=True)
    if made.returncode:
        pytest.skip("no small file system can be mounted here; the test with a limited file stands in")
    try:
        url = f"sqlite:///{disk / 'cases.sqlite'}"
        lines = _counter(url, 400, "full").communicate(timeout=60)[0].splitlines()
        refused = [line for line in lines if line.startswith("refused")]
        assert refused and "no room on the disk" in refused[0]
        assert len(_saved(lines)) > 10
        with Store(url) as store:
            assert store.count() == len(_saved(lines))
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=True)


def test_a_read_only_folder_is_said_and_leaves_nothing_behind(tmp_path: Path) -> None:
    command = [sys.executable, str(_SAVING), f"sqlite:///{tmp_path / 'log' / 'cases.sqlite'}", "1", "x"]
    if os.geteuid() == 0:
        # Root may write anywhere; without these two rights it is as any user.
        rights = shutil.which("setpriv")
        if rights is None:
            pytest.skip("run as a user, or with setpriv, to be refused by a read-only folder")
        command = [rights, "--bounding-set=-dac_override,-dac_read_search", *command]
    tmp_path.chmod(0o555)
    told = subprocess.run(command, capture_output=True, text=True, timeout=60).stdout
    tmp_path.chmod(0o755)
    assert told.startswith("refused the case log") and "Permission denied" in told
    assert list(tmp_path.iterdir()) == []


def _damaged(path: Path, at: float) -> bytes:
    """Overwrite a piece of a log's file and return the file's bytes."""
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(int(size * at) // 4096 * 4096)
        file.write(os.urandom(4096))
    return path.read_bytes()


def test_a_file_that_is_no_database_is_said_and_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    path.write_bytes(b"not a database at all\n" * 500)
    before = path.read_bytes(), sorted(tmp_path.iterdir())
    with pytest.raises(DamagedError, match="advisor cases backup"):
        Store(f"sqlite:///{path}")
    assert (path.read_bytes(), sorted(tmp_path.iterdir())) == before


@pytest.mark.parametrize("at", [0.3, 0.5, 0.7])
def test_of_a_damaged_log_every_readable_case_is_saved_and_the_original_is_not_touched(
    tmp_path: Path, at: float
) -> None:
    path = tmp_path / "cases.sqlite"
    with Store(f"sqlite:///{path}") as store:
        store.save_all(case(f"A{n}", n, note=os.urandom(600).hex()) for n in range(400))
    before = _damaged(path, at)
    with pytest.raises(DamagedError, match="left as it is"), Store(f"sqlite:///{path}") as store:
        list(store.lines())
    assert sound(path)
    files, count = rescue(path, tmp_path / "saved.sqlite")
    assert path.read_bytes() == before
    assert (tmp_path / "saved.sqlite").read_bytes() == before
    # A page of 8 KiB holds eight of these cases, of a kilobyte each; at most two such pages are touched.
    assert 384 <= count < 400
    with Store(f"sqlite:///{tmp_path / 'new.sqlite'}") as new:
        import json

        lines = files[-1].read_text().splitlines()
        assert new.save_all(from_dict(json.loads(line)) for line in lines) == count


@pytest.mark.parametrize("share", [0.9, 0.5])
def test_of_a_log_that_was_cut_off_what_its_pages_hold_is_saved(tmp_path: Path, share: float) -> None:
    path = tmp_path / "cases.sqlite"
    with Store(f"sqlite:///{path}") as store:
        store.save_all(case(f"A{n}", n, note=os.urandom(600).hex()) for n in range(200))
    content = path.read_bytes()
    path.write_bytes(content[: int(len(content) * share)])
    _, count = rescue(path, tmp_path / "saved.sqlite")
    # Tables and indexes lie mixed: at nine tenths nearly all cases are there, at a half some are.
    assert count >= (170 if share == 0.9 else 20)
    assert (tmp_path / "saved.sqlite").read_bytes() == path.read_bytes()


def test_a_log_whose_tree_is_damaged_at_the_root_can_still_be_copied(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    with Store(f"sqlite:///{path}") as store:
        store.save_all(case(f"A{n}", n) for n in range(50))
    with path.open("r+b") as file:
        file.seek(100)
        file.write(b"\xff" * 3996)
    before = path.read_bytes()
    with pytest.raises(DamagedError):
        Store(f"sqlite:///{path}")
    rescue(path, tmp_path / "saved.sqlite")
    assert path.read_bytes() == before == (tmp_path / "saved.sqlite").read_bytes()


def test_a_damaged_log_is_saved_over_no_other_file_and_into_no_missing_folder(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    path.write_bytes(b"damaged" * 1000)
    (tmp_path / "saved.sqlite.jsonl").write_text("another's", encoding="utf-8")
    with pytest.raises(StoreError, match="is there already"):
        rescue(path, tmp_path / "saved.sqlite")
    assert not (tmp_path / "saved.sqlite").exists()
    with pytest.raises(StoreError, match="can't be written"):
        rescue(path, tmp_path / "no" / "saved.sqlite")


def test_a_log_that_is_held_for_too_long_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("advisor.cases.engine._BUSY_S", 0.2)
    path = tmp_path / "cases.sqlite"
    with Store(f"sqlite:///{path}") as store:
        holder = sqlite3.connect(path, isolation_level=None)
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(UnreachableError, match="busy"):
            store.save(case())
        holder.execute("ROLLBACK")
        holder.close()
        store.save(case())
        assert store.count() == 1


def test_a_deleted_customer_leaves_no_trace_in_the_files(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    with Store(f"sqlite:///{path}") as store:
        store.save_all(case(f"A{n}", n) for n in range(30))
        secret = case("Quite Unmistakable", note=os.urandom(3000).hex())
        store.save(secret)
        import zlib  # the body as it lies in the file

        from advisor.cases.tables import packed

        body = packed(secret)
        assert zlib.decompress(body)
        assert store.delete("quite unmistakable") == (1, "")
    raw = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert b"unmistakable" not in raw.lower()
    assert all(body[start : start + 64] not in raw for start in range(0, len(body) - 64, 64))
    assert b"a29" in raw


def test_the_file_is_for_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "log" / "cases.sqlite"
    Store(f"sqlite:///{path}").close()
    assert path.stat().st_mode & 0o077 == 0
    assert path.parent.stat().st_mode & 0o077 == 0
    shutil.rmtree(path.parent)
