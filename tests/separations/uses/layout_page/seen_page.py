"""The page as a person has it: taps, drags and keys at places on the board, and waiting for it."""

from __future__ import annotations

import base64
import contextlib
import time
import tomllib
from collections.abc import Callable
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.separations.uses.layout_page.conftest import WAIT_S, Served

Mm = tuple[float, float]


class SeenPage:
    """A page of the server's in a browser.

    Parameters
    ----------
    driver : selenium driver
        The browser.
    served : Served
        The server.
    """

    def __init__(self, driver: Any, served: Served) -> None:
        self.driver, self.served = driver, served

    def open(self, width: int = 1280, height: int = 900, *, touch: bool = False) -> SeenPage:
        """Open the page at a size."""
        self.driver.see_to()
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": touch})
        self.driver.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": touch})
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [
            {"name": "prefers-reduced-motion", "value": "reduce"}]})
        self.driver.get(self.served.address)
        return self

    def ready(self) -> SeenPage:
        """Wait for the picture of the newest text, with nothing on its way."""
        try:
            self.until(lambda: self.script(
                "return Promise.all([import('./pictures.js'), import('./store.js'),"
                " import('./edits.js')]).then(async ([p, s, e]) => { await e.settled();"
                " return p.isTrue() && s.known.live.size === 0 && s.known.job.revision; })")
                == self.served.told()["revision"], "a true picture")
        except AssertionError as fault:
            raise AssertionError(f"{fault}: {self.state()}") from None
        return self

    def state(self) -> dict[str, Any]:
        """What may tell why the page waits."""
        seen: dict[str, Any] = self.script(
            "return Promise.all([import('./pictures.js'), import('./store.js')])"
            ".then(async ([p, s]) => ({page: s.known.job?.revision, live: [...s.known.live.keys()],"
            " shown: p.shownOf('')?.revision, ppi: p.shownOf('')?.ppi, hidden: document.hidden,"
            " telling: document.querySelector('#telling')?.textContent,"
            " paints: await Promise.race([new Promise((f) => requestAnimationFrame(() => f(true))),"
            " new Promise((f) => setTimeout(() => f(false), 5000))])}))")
        began = time.monotonic()
        status, _, body = self.served.ask("/api/picture?ppi=12")
        return seen | {"server": self.served.told()["revision"], "picture": (
            status, len(body), round(time.monotonic() - began, 2)), "log": self.complaints()}

    def script(self, words: str, *given: Any) -> Any:
        """Run a script in the page."""
        return self.driver.execute_script(words, *given)

    def until(self, is_so: Callable[[], Any], what: str, wait_s: float = WAIT_S) -> Any:
        """Wait until something is so, and give it; what is drawn anew meanwhile is asked again."""
        from selenium.common.exceptions import (
            NoSuchElementException,
            StaleElementReferenceException,
        )

        end = time.monotonic() + wait_s
        while time.monotonic() < end:
            with contextlib.suppress(StaleElementReferenceException, NoSuchElementException):
                found = is_so()
                if found:
                    return found
            time.sleep(0.03)
        raise AssertionError(f"waited in vain for {what}")

    def at(self, mm: Mm) -> tuple[float, float]:
        """Where a place on the board is in the window."""
        x, y = self.script(
            "return import('./bench.js').then(({view}) => { const t = document.getElementById("
            "'table'), b = t.getBoundingClientRect(), p = view.toWindow(arguments[0]);"
            " return [p[0] + b.left + t.clientLeft, p[1] + b.top + t.clientTop]; })"
            .replace("arguments[0]", f"[{mm[0]}, {mm[1]}]"))
        return float(x), float(y)

    def mouse(self, kind: str, at: tuple[float, float], **more: Any) -> None:
        """One event of a real mouse."""
        self.driver.execute_cdp_cmd("Input.dispatchMouseEvent", {
            "type": kind, "x": at[0], "y": at[1], "button": "left" if kind != "mouseWheel" else
            "none", "buttons": 0 if kind in ("mouseReleased", "mouseWheel") else 1,
            "clickCount": 1, **more})

    def press_and_move(self, start: tuple[float, float], end: tuple[float, float],
                       steps: int = 12) -> None:
        """Press, and move by steps, without letting go."""
        self.mouse("mouseMoved", start, buttons=0, button="none")
        self.mouse("mousePressed", start)
        for step in range(1, steps + 1):
            self.mouse("mouseMoved", (start[0] + (end[0] - start[0]) * step / steps,
                                      start[1] + (end[1] - start[1]) * step / steps))

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Drag with the mouse, and wait until it is an edit."""
        self.press_and_move(start, end)
        self.mouse("mouseReleased", end)
        self.ready()

    def drag_on_board(self, start: Mm, by: Mm) -> None:
        """Drag from a place on the board by so many mm."""
        self.drag(self.at(start), self.at((start[0] + by[0], start[1] + by[1])))

    def tap(self, mm: Mm) -> None:
        """Tap a place on the board."""
        at = self.at(mm)
        self.mouse("mouseMoved", at, buttons=0, button="none")
        self.mouse("mousePressed", at)
        self.mouse("mouseReleased", at)

    def find(self, css: str) -> Any:
        """The first element of a selector."""
        return self.driver.find_element("css selector", css)

    def focus(self, css: str) -> None:
        """Give an element the focus, when it is there."""
        self.until(lambda: self.script("const e = document.querySelector(arguments[0]); e?.focus();"
                                       " return !!e && document.activeElement === e", css), css)

    def shows(self, css: str, words: str) -> None:
        """Wait until an element shows words."""
        self.until(lambda: words in self.find(css).text, f"{words!r} in {css}")

    def box(self, css: str) -> dict[str, float]:
        """Where an element lies in the window, though it may be drawn anew at any moment."""
        box: dict[str, float] = self.until(lambda: self.script(
            "const e = document.querySelector(arguments[0]); return e && (({x, y, width, height})"
            " => ({x, y, width, height}))(e.getBoundingClientRect())", css), css)
        return box

    def all(self, css: str) -> list[Any]:
        """All elements of a selector."""
        found: list[Any] = self.driver.find_elements("css selector", css)
        return found

    def click(self, css: str) -> None:
        """Click an element, brought into sight as the page itself does."""
        self.until(lambda: self._clicked(lambda: self.find(css)), css)

    def press(self, words: str) -> None:
        """Press the button of these words."""
        self.until(lambda: self._clicked(lambda: self.find_button(words)), words)

    def _clicked(self, find: Callable[[], Any]) -> bool:
        """Click what is found."""
        found = find()
        self.script("arguments[0].scrollIntoView({block: 'nearest', inline: 'nearest'})", found)
        found.click()
        return True

    def find_button(self, words: str) -> Any:
        """The button of these words, or that they begin."""
        quoted = "concat('" + words.replace("'", "', \"'\", '") + "', '')"
        return self.until(lambda: next(iter(self.driver.find_elements(
            "xpath", f"//button[starts-with(normalize-space(.), {quoted})]")), None), words)

    def take(self, words: str) -> None:
        """Take a thing of these words in hand, by the list."""
        key, held = self.until(lambda: next(
            ([key, held] for text, key, held in self.script(
                "return [...document.querySelectorAll('.thing')].map((e) => [e.innerText,"
                " e.dataset.key, e.ariaPressed])") if words in text), None), words)
        if held != "true":
            self.click(f"[data-key='{key}']")

    def type_in(self, css: str, words: str) -> None:
        """Type words in a field in place of its own."""
        from selenium.webdriver.common.keys import Keys

        self.click(css)
        self.keys(Keys.CONTROL, "a")
        self.keys(words + Keys.TAB)
        if self.script("return !document.getElementById('work').hidden"):
            self.ready()

    def choose(self, css: str, value: str) -> None:
        """Choose from a list."""
        from selenium.webdriver.support.ui import Select

        def chosen() -> bool:
            Select(self.find(css)).select_by_value(value)
            return True

        self.until(chosen, css)

    def keys(self, *words: str) -> None:
        """Type keys, wherever the focus is; Shift and Control are held for those after them."""
        from selenium.webdriver.common.action_chains import ActionChains
        from selenium.webdriver.common.keys import Keys

        chain, held = ActionChains(self.driver), []
        for word in words:
            if word in (Keys.SHIFT, Keys.CONTROL):
                held.append(word)
                chain = chain.key_down(word)
            else:
                chain = chain.send_keys(word)
        for word in held:
            chain = chain.key_up(word)
        chain.perform()

    def saved(self) -> dict[str, Any]:
        """Save by the page's button, and read the job file."""
        self.ready()
        if self.script("return import('./store.js').then(({known}) => known.job.unsaved)"):
            self.press("Save")
        self.until(lambda: "saved" in self.find("#file").text
                   and "not saved" not in self.find("#file").text, "a saved job")
        assert self.served.job
        return tomllib.loads(self.served.job.read_text(encoding="utf-8"))

    def picture(self, css: str = "#table") -> NDArray[np.uint8]:
        """What an element looks like, BGR."""
        raw = base64.b64decode(self.find(css).screenshot_as_base64)
        return np.asarray(cv2.imdecode(np.frombuffer(raw, np.uint8), cv2.IMREAD_COLOR), np.uint8)

    def window(self) -> NDArray[np.uint8]:
        """What the window looks like, BGR."""
        raw = base64.b64decode(self.driver.execute_cdp_cmd("Page.captureScreenshot", {})["data"])
        return np.asarray(cv2.imdecode(np.frombuffer(raw, np.uint8), cv2.IMREAD_COLOR), np.uint8)

    def complaints(self) -> list[str]:
        """What the browser's log has to complain of."""
        return [entry["message"] for entry in self.driver.get_log("browser")
                if entry["level"] in ("SEVERE", "WARNING")]
