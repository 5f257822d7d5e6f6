"""The same tests on both databases: an embedded one, and a real PostgreSQL from the machine's own package."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

_PATIENCE_S = 30.0


def _programs() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3]))
    if found:
        return found[-1].parent
    told = shutil.which("initdb")
    return Path(told).parent if told else None


class Server:
    """A PostgreSQL server of its own, which can be stopped and started again."""

    def __init__(self, programs: Path, folder: Path) -> None:
        self.programs, self.folder = programs, folder
        # The server refuses to run as root.
        self.user = "postgres" if os.geteuid() == 0 else None
        if self.user:
            shutil.chown(folder, self.user)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._run("initdb", "-D", str(folder / "data"), "-U", "shop", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8")
        self._process: subprocess.Popen[bytes] | None = None
        self._made = False

    def _run(self, name: str, *arguments: str) -> None:
        subprocess.run(
            [str(self.programs / name), *arguments], user=self.user, check=True, capture_output=True, cwd=self.folder
        )

    def start(self) -> None:
        """Start the server and wait until it answers."""
        self._process = subprocess.Popen(
            [
                str(self.programs / "postgres"), "-D", str(self.folder / "data"), "-p", str(self.port),
                "-c", "listen_addresses=127.0.0.1", "-c", f"unix_socket_directories={self.folder}", "-c", "fsync=off",
            ],
            user=self.user, cwd=self.folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        end = time.monotonic() + _PATIENCE_S
        while True:
            try:
                self._run("psql", "-h", "127.0.0.1", "-p", str(self.port), "-U", "shop", "-c", "SELECT 1", "postgres")
                return
            except subprocess.CalledProcessError:
                assert time.monotonic() < end, "the server does not start"
                time.sleep(0.1)

    def stop(self) -> None:
        """Stop the server at once, as a power cut would end its connections."""
        if self._process:
            self._process.send_signal(signal.SIGQUIT)
            self._process.wait(_PATIENCE_S)
            self._process = None

    def database(self) -> str:
        """Return the URL of an empty database; the one before it is emptied, its connections ended."""
        others = (
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = 'shop' AND pid <> pg_backend_pid()"
        )
        at = ["-h", "127.0.0.1", "-p", str(self.port), "-U", "shop"]
        if not self._made:
            self._run("psql", *at, "-c", "CREATE DATABASE shop", "postgres")
            self._made = True
        self._run("psql", *at, "-c", others, "-c", "DROP SCHEMA public CASCADE", "-c", "CREATE SCHEMA public", "shop")
        return f"postgresql+psycopg://shop@127.0.0.1:{self.port}/shop"


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """Return a running PostgreSQL server; skipped only where its programs are not installed."""
    programs = _programs()
    if programs is None:
        pytest.skip("PostgreSQL is not installed here; CI installs it")
    pytest.importorskip("psycopg")
    folder = Path(tempfile.mkdtemp(prefix="pg"))
    server = Server(programs, folder)
    server.start()
    yield server
    server.stop()
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return the URL of an empty log, on each database in turn."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'log' / 'cases.sqlite'}"
    server: Server = request.getfixturevalue("postgres")
    return server.database()
