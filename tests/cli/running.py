"""Run the command line in this process with its own streams, or as a process of its own."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from tests.conftest import ROOT

DEMO = ROOT / "transcripts_demo" / "larchfall_heel.yaml"


@dataclass(frozen=True)
class Ran:
    """What a run said, and its exit code."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        """Return stdout as the one JSON object that it must be."""
        told = json.loads(self.out, parse_constant=_no_constant)
        assert isinstance(told, dict)
        return told


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} is not JSON")


def advisor(*arguments: str | Path, typed: str = "", environ: Mapping[str, str] | None = None) -> Ran:
    """Run a command in this process, with pipes for streams."""
    out, err = io.StringIO(), io.StringIO()
    around = Surroundings(io.StringIO(typed), out, err, environ or {})
    code = run([str(argument) for argument in arguments], around)
    return Ran(int(code), out.getvalue(), err.getvalue())


def process(*arguments: str | Path, typed: bytes = b"", environ: Mapping[str, str] | None = None) -> Ran:
    """Run a command as a process."""
    done = subprocess.run(
        [sys.executable, "-m", "advisor", *map(str, arguments)],
        input=typed,
        capture_output=True,
        timeout=60,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1", **(environ or {})},
        check=False,
    )
    return Ran(done.returncode, done.stdout.decode(), done.stderr.decode())
