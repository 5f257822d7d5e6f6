"""A real browser for the slips: headless Chromium over its debugging pipe, with nothing but the standard library.

`--remote-debugging-pipe` reads commands from file descriptor 3 and writes answers to 4, JSON ended by a NUL (Chrome
DevTools Protocol, from memory).
"""

from __future__ import annotations

import base64
import json
import os
import re
import select
import shutil
import subprocess
import time
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PAPERS_IN = {"A5": (5.83, 8.27), "Letter": (8.5, 11.0), "A4": (8.27, 11.69)}
_SWITCHES = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--disable-dev-shm-usage",
    "--remote-debugging-pipe",
)  # fmt: skip
_PATIENCE_S = 30.0


class Browser:
    """One page of a headless browser."""

    def __init__(self, folder: Path) -> None:
        to_browser, self._write = os.pipe()
        self._read, from_browser = os.pipe()

        def wires() -> None:
            # Above 4 first, so that neither end is overwritten by the other.
            high = os.dup(to_browser), os.dup(from_browser)
            os.dup2(high[0], 3)
            os.dup2(high[1], 4)

        assert CHROMIUM
        self._process = subprocess.Popen(
            [CHROMIUM, *_SWITCHES, f"--user-data-dir={folder}", "about:blank"],
            preexec_fn=wires,
            close_fds=False,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_browser)
        os.close(from_browser)
        self._number, self._rest = 0, b""
        target = self._ask("Target.createTarget", url="about:blank")["targetId"]
        self._session = ""
        self._session = self._ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        self._ask("Page.enable")

    def close(self) -> None:
        """End this browser and nothing else."""
        try:
            self._session = ""
            self._ask("Browser.close")
            self._process.wait(10)
        except (OSError, TimeoutError, subprocess.TimeoutExpired):
            self._process.kill()
            self._process.wait(10)
        os.close(self._write)
        os.close(self._read)

    def _ask(self, method: str, **told: Any) -> Any:
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": told}
        if getattr(self, "_session", ""):
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                return answer["result"]

    def _next(self) -> Any:
        end = time.monotonic() + _PATIENCE_S
        while b"\0" not in self._rest:
            if not select.select([self._read], [], [], max(0.0, end - time.monotonic()))[0]:
                raise TimeoutError("the browser does not answer")
            self._rest += os.read(self._read, 1 << 20)
        line, _, self._rest = self._rest.partition(b"\0")
        return json.loads(line)

    def open(self, file: Path, width: int = 800, height: int = 1100) -> None:
        """Show a file."""
        self._ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)
        self._ask("Page.navigate", url=file.absolute().as_uri())
        end = time.monotonic() + _PATIENCE_S
        while self.run("document.readyState + location.href") != "complete" + file.absolute().as_uri():
            assert time.monotonic() < end
            time.sleep(0.02)

    def run(self, words: str) -> Any:
        """Return the value of a JavaScript expression."""
        return self._ask("Runtime.evaluate", expression=words, returnByValue=True)["result"].get("value")

    def printed(self, paper: str) -> bytes:
        """Return the page printed on a paper, as PDF; the page's own margins count."""
        width, height = PAPERS_IN[paper]
        told = self._ask(
            "Page.printToPDF", paperWidth=width, paperHeight=height, printBackground=True, preferCSSPageSize=False,
            marginTop=0.315, marginBottom=0.315, marginLeft=0.315, marginRight=0.315,
        )  # fmt: skip
        return base64.b64decode(told["data"])

    def seen(self, grey: bool = False) -> bytes:
        """Return a screenshot (PNG), as someone sees it who sees no colours where `grey`."""
        self._ask("Emulation.setEmulatedVisionDeficiency", type="achromatopsia" if grey else "none")
        return base64.b64decode(self._ask("Page.captureScreenshot", format="png")["data"])


def pages(pdf: bytes) -> int:
    """Return how many pages a PDF has, by its page objects."""
    return len(re.findall(rb"/Type\s*/Page(?!s)\b", pdf))
