"""How fast it starts and answers: `python tests/bench/bench_start.py [RUNS]`.

Whole processes (median and the range of the middle half, runs interleaved so that a busy machine hits all alike) beside
a bare interpreter and beside importing the three libraries that a program of this kind usually loads at its start; the
time to the first prompt on a pseudo-terminal; in this process, all measures of a sheet, a what-if, a turn of the talk.
Bytecode is kept, as for a user, and the knowledge has been compiled once before.
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SHEET = ROOT / "transcripts_demo" / "larchfall_heel.yaml"
sys.path.insert(0, str(ROOT))
PYTHON = sys.executable
ADVISOR = [PYTHON, "-m", "advisor"]
ANSWERS = ["--answer", "snow=hard", "--answer", "toe_scuff=don't know", "--answer", "heel_scuff=don't know"]
BARE = "python -c pass"
USUAL = "python -c 'import prompt_toolkit, rich, pydantic'"
PROCESSES: dict[str, list[str]] = {
    BARE: [PYTHON, "-c", "pass"],
    USUAL: [PYTHON, "-c", "import prompt_toolkit, rich, pydantic"],
    "advisor --version": [*ADVISOR, "--version"],
    "advisor measure SHEET --json": [*ADVISOR, "measure", str(SHEET), "--json"],
    "advisor advise SHEET --json": [*ADVISOR, "advise", str(SHEET), "--entry", "heel_washout", *ANSWERS, "--json"],
    "advisor match TEXT --json": [*ADVISOR, "match", "my heel edge lets go", "--json"],
}
PROMPT = "first prompt of the talk, on a pty"


def environment(home: str) -> dict[str, str]:
    """Return a user's environment: bytecode is written, caches and data lie in a folder of this run."""
    kept = {key: value for key, value in os.environ.items() if key not in {"PYTHONDONTWRITEBYTECODE", "COLUMNS"}}
    places = {name: f"{home}/{name}" for name in ("XDG_CACHE_HOME", "XDG_DATA_HOME")}
    return {**kept, **places, "PYTHONPATH": str(ROOT), "TERM": "xterm-256color"}


def process_ms(command: list[str], environ: dict[str, str]) -> float:
    """Return the wall time of a process that does its work and ends."""
    start = time.perf_counter()
    subprocess.run(command, env=environ, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT)
    return (time.perf_counter() - start) * 1000


def prompt_ms(environ: dict[str, str]) -> float:
    """Return the time until the prompt stands on a pseudo-terminal that answers as a terminal does."""
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    start = time.perf_counter()
    child = subprocess.Popen(
        [*ADVISOR, "--sheet", str(SHEET)],
        stdin=slave,
        stdout=slave,
        stderr=slave,
        env=environ,
        cwd=ROOT,
        start_new_session=True,
    )
    os.close(slave)
    seen = b""
    while b">" not in seen.partition(b"\x1b[?2004h")[2]:
        if not select.select([master], [], [], 20)[0]:
            raise TimeoutError(seen)
        seen += (data := os.read(master, 65536))
        if b"\x1b[6n" in data:
            os.write(master, b"\x1b[5;1R")
    taken = (time.perf_counter() - start) * 1000
    child.kill()
    child.wait()
    os.close(master)
    return taken


def repeated(work: Callable[[], object], seconds: float = 1.0) -> list[float]:
    """Return how long each call took [ms], for about so many seconds."""
    work()
    taken = []
    until = time.perf_counter() + seconds
    while time.perf_counter() < until:
        start = time.perf_counter()
        work()
        taken.append((time.perf_counter() - start) * 1000)
    return taken


def in_process() -> dict[str, list[float]]:
    """Return the times of the core's calls and of turns of the talk [ms]."""
    from advisor.cli.chat import start
    from advisor.cli.plain import plain_lines
    from advisor.explain.telling import Telling, tell
    from advisor.geometry.measuring import measure_all
    from advisor.graph.knowledge import load_knowledge
    from advisor.sheet.practice import load_practice
    from advisor.sheet.reading import read_sheet
    from advisor.sheet.resolve import resolve
    from advisor.solve.whatif import what_if

    sheet, practice = read_sheet(SHEET), load_practice()
    known = resolve(sheet, practice)

    def full() -> None:
        for one in measure_all(known).values():
            _ = one.plus_minus, one.formula

    times = {
        "all measures, values": repeated(lambda: measure_all(known)),
        "all measures, values with ± and formula": repeated(full),
        "resolve a sheet": repeated(lambda: resolve(sheet, practice)),
        "what-if, before and after": repeated(lambda: what_if(sheet, {"mount.back.slot_mm": 3.0})),
    }
    knowledge = load_knowledge()
    talk, how = start(knowledge), Telling(knowledge)
    walking, telling = [], []
    for complaint in ("my heel edge lets go", "my back knee is sore", "toes touch the snow", "the edge chatters"):
        for _ in range(8):
            state, _reply = talk.begin(sheet)
            for line in (complaint, *["don't know"] * 4, "why", "why not", "trail", "numbers", "try back slot 3"):
                began = time.perf_counter()
                state, reply = talk.hear(state, line)
                heard = time.perf_counter()
                plain_lines(tell(reply, how))
                walking.append((heard - began) * 1000)
                telling.append((time.perf_counter() - began) * 1000)
    times["a turn of the talk, heard"] = walking
    times["a turn of the talk, heard and told"] = telling
    return times


def row(name: str, taken: list[float], *against: float) -> str:
    """Return one printed line: median, the middle half, and what it is against each given time."""
    low, middle, high = statistics.quantiles(taken, n=4)
    ratios = "".join(f"  {middle - other:+8.0f}  {middle / other:5.2f}x" for other in against)
    return f"  {name:50s} {middle:7.1f}   {low:7.1f} .. {high:7.1f}{ratios}"


def main() -> None:
    """Print the table."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 25
    with tempfile.TemporaryDirectory() as home:
        environ = environment(home)
        works: dict[str, Callable[[], float]] = {
            name: (lambda command=command: process_ms(command, environ)) for name, command in PROCESSES.items()
        }
        works[PROMPT] = lambda: prompt_ms(environ)
        for work in works.values():
            work()
        taken: dict[str, list[float]] = {name: [] for name in works}
        for _ in range(runs):
            for name, work in works.items():
                taken[name].append(work())
    bare, usual = (statistics.median(taken[name]) for name in (BARE, USUAL))
    print(f"whole processes, ms, {runs} runs each, interleaved")
    print(f"  {'':50s}  median   middle half          over bare  ratio   over usual  ratio")
    for name, times in taken.items():
        print(row(name, times, bare, usual))
    print("in this process, ms")
    print(f"  {'':50s}  median   p99      calls")
    for name, times in in_process().items():
        ninety_ninth = sorted(times)[min(len(times) - 1, int(len(times) * 0.99))]
        print(f"  {name:50s} {statistics.median(times):7.3f}  {ninety_ninth:7.3f}  {len(times)}")


if __name__ == "__main__":
    main()
