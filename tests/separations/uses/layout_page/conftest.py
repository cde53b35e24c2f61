"""The layout page's server in a process of its own, and a browser to look at it."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tests.small_art import write_small_job

BROWSER, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
#: How long anything is waited for: a busy machine compiles for a minute before its first picture.
WAIT_S = 150.0


@dataclass
class Served:
    """A server of the page.

    Attributes
    ----------
    job : Path or None
        The job that it has open.
    """

    process: subprocess.Popen[str]
    job: Path | None
    address: str = ""
    port: int = 0
    token: str = ""
    said: list[str] = field(default_factory=list)

    def ask(self, path: str, message: object = None, *, method: str = "",
            body: bytes | None = None, **headers: str) -> tuple[int, dict[str, str], bytes]:
        """Ask as the page does; ``headers`` take others' place, an empty one leaves its own out."""
        own = {"host": f"127.0.0.1:{self.port}", "origin": f"http://127.0.0.1:{self.port}",
               "x-topsheet-token": self.token}
        own |= {name.replace("_", "-"): value for name, value in headers.items()}
        if message is not None:
            body = json.dumps(message).encode()
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=WAIT_S)
        try:
            line.putrequest(method or ("GET" if body is None else "POST"), path, skip_host=True,
                            skip_accept_encoding=True)
            for name, value in own.items():
                if value:
                    line.putheader(name, value)
            if body is not None and "content-length" not in own:
                line.putheader("content-length", str(len(body)))
            line.endheaders(body)
            answer = line.getresponse()
            return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        finally:
            line.close()

    def told(self, path: str = "/api/job", message: object = None) -> dict[str, Any]:
        """What the server tells; anything but success is a fault."""
        status, _, body = self.ask(path, message)
        assert status == 200, (status, body[:500])
        told: dict[str, Any] = json.loads(body)
        return told

    def edit(self, *edits: dict[str, Any], base: int | None = None) -> dict[str, Any]:
        """Make an edit."""
        return self.told("/api/edit", {
            "edits": list(edits), "told": "a test's edit",
            "base": self.told()["revision"] if base is None else base})

    def findings(self) -> dict[str, Any]:
        """All findings of the newest text, waited for while a page listens."""
        revision, end = self.told()["revision"], time.monotonic() + WAIT_S
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=WAIT_S)
        line.request("GET", "/api/news", headers={"x-topsheet-token": self.token})
        line.getresponse()
        try:
            while time.monotonic() < end:
                found = self.told("/api/findings")
                if found["revision"] == revision and not found["pending"]:
                    return found
                time.sleep(0.1)
        finally:
            line.close()
        raise AssertionError("no findings came")

    def memory_mib(self) -> float:
        """What the process holds now."""
        status = Path(f"/proc/{self.process.pid}/status").read_text(encoding="utf-8")
        found = re.search(r"VmRSS:\s+(\d+) kB", status)
        assert found
        return int(found[1]) / 1024

    def end(self, how: int = signal.SIGINT) -> int:
        """Stop it, and say with what status it left."""
        if self.process.poll() is None:
            self.process.send_signal(how)
        status = self.process.wait(WAIT_S)
        if self.process.stdout:
            self.process.stdout.close()
        return status


def start_server(job: Path | None, folder: Path, *words: str) -> Served:
    """Start ``topsheet layout`` and wait for its address."""
    command = [sys.executable, "-c", "from separations.command_line import main; main()", "layout",
               "--no-browser", *words, *([str(job)] if job else [])]
    process = subprocess.Popen(command, cwd=folder, text=True, stdout=subprocess.PIPE,
                               stderr=subprocess.STDOUT,
                               env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[4]),
                                    "PYTHONUNBUFFERED": "1"})
    served = Served(process, job)
    assert process.stdout is not None
    for line in process.stdout:
        served.said.append(line)
        found = re.search(r"(http://127\.0\.0\.1:(\d+)/)#(\S+)", line)
        if found:
            served.address = found[0]
            served.port, served.token = int(found[2]), found[3]
            return served
    raise AssertionError("".join(served.said))


Serve = Callable[..., Served]


@pytest.fixture(scope="module")
def serve() -> Iterator[Serve]:
    """Starts servers, and ends them with the module."""
    started: list[Served] = []

    def begin(job: Path | None, folder: Path | None = None, *words: str) -> Served:
        started.append(start_server(job, folder or (job.parent if job else Path.cwd()), *words))
        return started[-1]

    yield begin
    for one in started:
        if one.process.poll() is None:
            one.process.kill()
        one.process.wait()
        if one.process.stdout:
            one.process.stdout.close()


@pytest.fixture(scope="module")
def job_served(serve: Serve, tmp_path_factory: pytest.TempPathFactory) -> Served:
    """A server with the small job open, for tests that leave it as they found it."""
    return serve(write_small_job(tmp_path_factory.mktemp("layout") / "job"))


#: What any page of a working browser can do at once, whatever page it is.
_SOUND = """
const done = arguments[0];
const px = new ImageData(2, 2);
setTimeout(() => done(false), 10000);
requestAnimationFrame(() => createImageBitmap(px).then(() => done(true), () => done(false)));
"""


class Browser:
    """A browser without a screen; what it lacks itself is asked of its driver."""

    def __init__(self) -> None:
        self._driver = _started()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._driver, name)

    def see_to(self) -> None:
        """Start it anew where it does not paint an empty page: that is no fault of ours."""
        from selenium.common.exceptions import WebDriverException

        try:
            self._driver.get("about:blank")
            sound = self._driver.execute_async_script(_SOUND)
        except WebDriverException:
            sound = False
        if not sound:
            warnings.warn("The browser had stalled and was started anew.", stacklevel=2)
            with contextlib.suppress(WebDriverException):
                self._driver.quit()
            self._driver = _started()


def start_browser() -> Browser:
    """A browser; skips where there is none."""
    if not (BROWSER and DRIVER):
        pytest.skip("Debian's chromium and chromium-driver are not installed")
    return Browser()


def _started() -> Any:
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = str(BROWSER)
    for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                 "--disable-dev-shm-usage"):
        options.add_argument(word)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    return webdriver.Chrome(options=options, service=Service(str(DRIVER)))


@pytest.fixture(scope="module")
def driver() -> Iterator[Any]:
    """The browser of a module's tests."""
    started = start_browser()
    yield started
    started.quit()
