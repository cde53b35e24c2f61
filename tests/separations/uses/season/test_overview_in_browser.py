"""The overview in a real browser: jobs sorted and filtered, nothing fetched, no page too wide."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from separations.uses.season.job_result import JobResult
from separations.uses.season.overview_files import write_overview

BROWSER, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
pytestmark = pytest.mark.skipif(
    not (BROWSER and DRIVER), reason="Debian's chromium and chromium-driver are not installed")


def _titles(driver: Any) -> list[str]:
    return [title.text for title in driver.find_elements("css selector", ".job h3")
            if title.is_displayed()]


def _choose(driver: Any, name: str, value: str) -> None:
    from selenium.webdriver.support.select import Select

    Select(driver.find_element("css selector", f"[name={name}]")).select_by_value(value)


def test_jobs_are_sorted_and_filtered(results: tuple[JobResult, ...], tmp_path: Path) -> None:
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    folder = tmp_path / "winter" / "overview"
    write_overview(results, folder)
    options = webdriver.ChromeOptions()
    options.binary_location = str(BROWSER)
    for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(word)
    driver = webdriver.Chrome(options=options, service=Service(str(DRIVER)))
    try:
        driver.get((folder / "overview.html").as_uri())
        told = ["Tern & <tide>", "Alder carr", "Reed bed", "dune"]
        assert _titles(driver) == told
        for order, first in (("grade", "dune"), ("title", "Alder carr"), ("ink", "Alder carr"),
                             ("boards", "Alder carr"), ("told", told[0])):
            _choose(driver, "order", order)
            assert _titles(driver)[0] == first
        _choose(driver, "ink", "Heather")
        assert _titles(driver) == ["Reed bed"]
        _choose(driver, "ink", "")
        _choose(driver, "grade", "care")
        assert _titles(driver) == [told[0]]
        assert driver.find_element("css selector", "output").text == "1 of 4 shown"
        _choose(driver, "grade", "")
        driver.find_element("css selector", "[name=word]").send_keys("past the edge")
        assert _titles(driver) == ["Reed bed"]
        for width in (1280, 390):
            driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
                "width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 500})
            assert driver.execute_script("return document.documentElement.scrollWidth") <= width
        assert driver.execute_script("return performance.getEntriesByType('resource')"
                                     ".filter(e => !e.name.startsWith('data:')).length") == 0
        link = driver.find_element("css selector", ".job:not([hidden]) h3 a")
        driver.get(link.get_attribute("href") or "")
        assert driver.title == "A report"
    finally:
        driver.quit()
