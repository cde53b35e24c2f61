"""The page in a real browser: switches, zoom and pins, with and without scripts, and on paper."""

from __future__ import annotations

import base64
import shutil
from collections.abc import Callable, Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from tests.separations.report.conftest import Written

BROWSER, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
pytestmark = pytest.mark.skipif(
    not (BROWSER and DRIVER), reason="Debian's chromium and chromium-driver are not installed")

Open = Callable[..., Any]


@pytest.fixture(scope="module")
def start() -> Iterator[Open]:
    """Starts a browser without a screen, with or without scripts."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    drivers: dict[bool, Any] = {}

    def begin(*, scripts: bool = True) -> Any:
        if scripts not in drivers:
            options = webdriver.ChromeOptions()
            options.binary_location = str(BROWSER)
            for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                         "--disable-dev-shm-usage"):
                options.add_argument(word)
            if not scripts:
                options.add_experimental_option(
                    "prefs", {"profile.managed_default_content_settings.javascript": 2})
            drivers[scripts] = webdriver.Chrome(options=options, service=Service(str(DRIVER)))
        return drivers[scripts]

    yield begin
    for driver in drivers.values():
        driver.quit()


@pytest.fixture
def opened(start: Open, written: Written) -> Open:
    """Opens the page at a size: a phone or a desk."""

    def at(width: int, height: int, *, scripts: bool = True, **features: str) -> Any:
        driver = start(scripts=scripts)
        driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500})
        driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [
            {"name": name.replace("_", "-"), "value": value} for name, value in
            ({"prefers_color_scheme": "light",
              "prefers_reduced_motion": "reduce"} | features).items()]})
        driver.get((written.folder / "report.html").as_uri())
        return driver

    return at


def by_id(driver: Any, key: str) -> Any:
    return driver.find_element("css selector", f"#{key}")


def picture(element: Any) -> NDArray[np.uint8]:
    flat = np.frombuffer(base64.b64decode(element.screenshot_as_base64), np.uint8)
    return np.asarray(cv2.imdecode(flat, cv2.IMREAD_COLOR), np.uint8)


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_films_go_on_and_off_one_by_one(opened: Open, scripts: bool) -> None:
    driver = opened(1280, 900, scripts=scripts)
    stack = driver.find_element("css selector", "#film-stack .stage")
    whole = picture(stack)
    seen = []
    for number in range(1, 5):
        switch = by_id(driver, f"show-{number}")
        switch.click()
        assert not driver.find_element("css selector", f".film-{number}").is_displayed()
        seen.append(picture(stack))
        assert seen[-1].mean() > whole.mean() + 1  # one ink less is lighter
        switch.click()
        assert driver.find_element("css selector", f".film-{number}").is_displayed()
    assert len({p.tobytes() for p in seen}) == 4
    for number in range(1, 5):
        by_id(driver, f"show-{number}").click()
    bare = picture(stack)
    height, width = bare.shape[:2]
    middle = bare[height // 3:height * 2 // 3, width // 3:width * 2 // 3]
    assert middle.std(axis=(0, 1)).max() < 1.5  # nothing is left but the wood
    red, green, blue = middle.mean(axis=(0, 1))[::-1]
    assert red > green > blue


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_the_board_and_its_dots_come_nearer(opened: Open, scripts: bool) -> None:
    driver = opened(1280, 900, scripts=scripts)
    for table, image in (("#board", ".stage > img"), ("#close", ".close img")):
        shown = driver.find_element("css selector", f"{table} {image}")
        widths = []
        for kind in ("whole", "near", "nearest"):
            driver.find_element("css selector", f"{table} input.{kind}").click()
            widths.append(shown.size["width"])
        assert widths[0] < widths[1] < widths[2]
        assert widths[2] > 6 * widths[0]


def test_without_scripts_pins_lead_to_findings_and_back(opened: Open, written: Written) -> None:
    driver = opened(390, 844, scripts=False)
    number = next(f["number"] for f in written.figures["findings"] if f["place_mm"])
    driver.find_element("css selector", f"#finding-{number} .where a").click()
    assert driver.current_url.endswith(f"#pin-{number}")
    assert by_id(driver, f"pin-{number}").is_displayed()
    by_id(driver, f"pin-{number}").click()
    assert driver.current_url.endswith(f"#finding-{number}")


def test_with_scripts_a_finding_brings_its_pin_near(opened: Open, written: Written) -> None:
    driver = opened(1280, 900)
    number = next(f["number"] for f in written.figures["findings"] if f["place_mm"])
    driver.find_element("css selector", f"#finding-{number} .where a").click()
    pin, pane = by_id(driver, f"pin-{number}"), driver.find_element("css selector",
                                                                    "#board .window")
    assert driver.switch_to.active_element == pin
    assert driver.find_element("css selector", "#board input.near").is_selected()
    assert pane.rect["x"] <= pin.rect["x"] <= pane.rect["x"] + pane.rect["width"]
    assert driver.title.startswith("Marsh <script>")  # shown, not run
    assert driver.get_log("browser") == []


def test_on_a_phone_no_table_is_cut_and_each_figure_has_its_head(opened: Open) -> None:
    driver = opened(390, 844)
    tables = driver.find_elements("css selector", "section .scroll")
    assert len(tables) > 3
    for table in tables:
        assert table.get_property("scrollWidth") <= table.get_property("clientWidth")
    heads = [cell.get_attribute("data-head")
             for cell in driver.find_elements("css selector", "#inks tbody tr:first-child td")]
    assert heads[:3] == ["Mesh", "Ruling", "Angle"]


@pytest.mark.parametrize(("width", "height"), [(390, 844), (1280, 900)])
def test_nothing_runs_off_the_page(opened: Open, width: int, height: int) -> None:
    driver = opened(width, height)
    root = driver.find_element("css selector", "html")
    assert int(root.get_property("scrollWidth")) <= width
    board, findings = (driver.find_element("css selector", f"#{key}").rect
                       for key in ("board", "findings"))
    assert findings["y"] >= board["y"] + board["height"]
    # At the desk findings stand side by side under the board, so that no large part stays blank.
    lefts = {round(one.rect["x"]) for one in driver.find_elements("css selector", ".finding")}
    assert len(lefts) >= 2 if width > 1000 else len(lefts) == 1


@pytest.mark.parametrize("width", [360, 390, 1280])
def test_pins_are_whole_and_side_by_side(opened: Open, width: int) -> None:
    driver = opened(width, 844)
    pane = driver.find_element("css selector", "#board .window").rect
    found = [pin.rect for pin in driver.find_elements("css selector", "#board .pin:not(.view)")]
    pins = [pin.rect for pin in driver.find_elements("css selector", "#board .pin")]
    assert len(found) > 1
    for one, other in combinations(found, 2):
        assert (abs(one["x"] - other["x"]) >= one["width"] - 1
                or abs(one["y"] - other["y"]) >= one["height"] - 1)
    for pin in pins:
        assert pin["x"] >= pane["x"]
        assert pin["x"] + pin["width"] <= pane["x"] + pane["width"]
        assert pin["y"] >= pane["y"]
        assert pin["y"] + pin["height"] <= pane["y"] + pane["height"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_and_focus_is_seen(opened: Open, scheme: str) -> None:
    """Contrast of AA for text: 4.5 to 1. Source: WCAG 2.1, 1.4.3 and the formula of contrast."""
    driver = opened(1280, 900, prefers_color_scheme=scheme)
    ratios = driver.execute_script("""
      const light = (rgb) => { const [r, g, b] = rgb.map((v) => { v /= 255;
        return v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
        return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
      const numbers = (css) => css.match(/[\\d.]+/g).map(Number);
      const behind = (e) => { for (; e; e = e.parentElement) {
        const c = numbers(getComputedStyle(e).backgroundColor);
        if (c.length === 3 || c[3] > 0.99) { return c.slice(0, 3); } } return [255, 255, 255]; };
      return [...document.querySelectorAll("h1,h2,h3,p,li,td,th,a,small,label,summary,.badge,"
        + ".grade,figcaption,legend,footer")].filter((e) => [...e.childNodes].some(
          (n) => n.nodeType === 3 && n.data.trim())).map((e) => {
          const a = light(numbers(getComputedStyle(e).color).slice(0, 3)), b = light(behind(e));
          return [(Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), e.outerHTML.slice(0, 90)];
      });""")
    assert len(ratios) > 100
    assert [r for r in ratios if r[0] < 4.5] == []
    dark = driver.execute_script("return getComputedStyle(document.body).backgroundColor")
    assert (max(int(v) for v in dark[4:-1].split(",")) < 60) == (scheme == "dark")


def test_the_keyboard_reaches_switches_pins_and_windows(opened: Open) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    driver = opened(1280, 900)
    reached = []
    for _ in range(80):
        ActionChains(driver).send_keys(Keys.TAB).perform()
        focused = driver.switch_to.active_element
        reached.append(f"{focused.get_attribute('class')} {focused.get_attribute('id')} "
                       f"{focused.tag_name}")
        assert focused.value_of_css_property("outline-style") != "none", reached[-1]
        if "show-4" in reached[-1]:
            break
    assert reached[0].startswith("skip")
    for part in ("window", "pin ", "show-1", "show-4", "whole"):
        assert any(part in one for one in reached), part


def test_it_prints_on_paper_with_its_pictures(opened: Open, tmp_path: Path) -> None:
    driver = opened(1280, 900)
    driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    made = driver.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69})
    path = tmp_path / "page.pdf"
    path.write_bytes(base64.b64decode(made["data"]))
    with pypdfium2.PdfDocument(path) as document:
        text = "".join(page.get_textpage().get_text_bounded() for page in document)
        assert 2 <= len(document) <= 12
        first = np.asarray(document[0].render(scale=1).to_pil().convert("L"))
    assert "Ink for the run" in text
    assert "Look from" not in text
    assert (first < 100).mean() > 0.02
