"""Pages in a real browser: charts draw, nothing is fetched, nothing overflows."""

from __future__ import annotations

import base64
import re
from pathlib import Path

import pytest
from selenium import webdriver
from selenium.webdriver.support.ui import WebDriverWait

from tests.reports.cases import Case

PAGES = ("forty", "one", "hostile", "round", "squad", "course", "practice", "week")
WIDTHS = (390, 768, 1280)
PATIENCE_S = 10


@pytest.fixture(scope="module")
def pages(
    tmp_path_factory: pytest.TempPathFactory, forty: Case, one: Case, hostile: Case
) -> dict[str, str]:
    folder: Path = tmp_path_factory.mktemp("pages")
    written = {
        "forty": forty.season_page(),
        "one": one.season_page(),
        "hostile": hostile.season_page(),
        "round": one.round_page(),
        "squad": hostile.squad_page(),
        "course": hostile.course_page(),
        "practice": forty.practice_page(),
        "week": hostile.practice_page(45, 2),
    }
    for name, html in written.items():
        (folder / f"{name}.html").write_text(html, encoding="utf-8")
    return {name: (folder / f"{name}.html").as_uri() for name in written}


def show(browser: webdriver.Chrome, address: str, width: int = 390, scheme: str = "light") -> None:
    scheme_feature = {"name": "prefers-color-scheme", "value": scheme}
    size = {"width": width, "height": 844, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [scheme_feature]})
    browser.get(address)
    all_drawn = (
        "return document.querySelectorAll('figure.drawn .live svg').length"
        " === document.querySelectorAll('figure.chart').length"
    )
    WebDriverWait(browser, PATIENCE_S).until(lambda b: b.execute_script(all_drawn))


def logged(browser: webdriver.Chrome) -> list[str]:
    return [entry["message"] for entry in browser.get_log("browser")]  # type: ignore[no-untyped-call]


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("width", WIDTHS)
def test_page_draws_and_fits(
    browser: webdriver.Chrome, pages: dict[str, str], name: str, width: int
) -> None:
    show(browser, pages[name], width)
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width
    assert browser.execute_script("return performance.getEntriesByType('resource').length") == 0
    assert logged(browser) == []


CHARTS = {"forty": 3, "one": 2, "hostile": 3, "round": 1}
PLOTS = {"forty": 5, "one": 3, "hostile": 5, "round": 0, "squad": 0, "course": 2, "practice": 0}


@pytest.mark.parametrize("name", PLOTS)
@pytest.mark.parametrize("width", WIDTHS)
def test_own_drawings_are_seen_whole(
    browser: webdriver.Chrome, pages: dict[str, str], name: str, width: int
) -> None:
    """Every drawing has marks and room, and no mark or word reaches over its edge."""
    show(browser, pages[name], width)
    found = browser.execute_script(
        "return [...document.querySelectorAll('.plot svg')].map(svg => {"
        " const box = svg.getBoundingClientRect(), name = svg.closest('figure').id;"
        " const over = [...svg.querySelectorAll('text, circle, path')].filter(mark => {"
        "  const r = mark.getBoundingClientRect();"
        "  return r.left < box.left - 2 || r.right > box.right + 2 || r.top < box.top - 2"
        "   || r.bottom > box.bottom + 2; });"
        " return [name, svg.children.length, box.width, over.map(mark => mark.outerHTML)]; })"
    )
    assert len(found) == PLOTS[name]
    for plot, marks, wide, over in found:
        assert marks > 5, plot
        assert wide > 200, plot
        assert over == [], plot


def test_an_hour_of_practice_is_one_sheet(browser: webdriver.Chrome, pages: dict[str, str]) -> None:
    """On A4 and on Letter; a week has a sheet for each session and one for all."""
    papers = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}
    for name, sheets in (("practice", 1), ("week", 3)):
        show(browser, pages[name])
        for paper, (wide, high) in papers.items():
            size = {"paperWidth": wide, "paperHeight": high, "preferCSSPageSize": True}
            printed = browser.execute_cdp_cmd("Page.printToPDF", size)["data"]
            found = len(re.findall(rb"/Type\s*/Page\b(?!s)", base64.b64decode(printed)))
            assert found == sheets, f"{name} on {paper}"


@pytest.mark.parametrize("name", CHARTS)
def test_every_chart_is_drawn_with_its_data(
    browser: webdriver.Chrome, pages: dict[str, str], name: str
) -> None:
    show(browser, pages[name])
    figures = "[...document.querySelectorAll('figure.drawn')]"
    dots = f"return {figures}.map(f => f.querySelectorAll('.mark-symbol path').length)"
    drawn = browser.execute_script(dots)
    assert len(drawn) == CHARTS[name]
    assert all(drawn)


def test_paper_gets_the_still_image(browser: webdriver.Chrome, pages: dict[str, str]) -> None:
    show(browser, pages["forty"])
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    try:
        assert browser.execute_script(
            "const all = [...document.querySelectorAll('figure.chart')];"
            "return all.every(f => f.querySelector('.still').offsetHeight > 50"
            " && f.querySelector('.live').offsetHeight === 0)"
        )
    finally:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


def test_drawing_takes_the_place_of_the_still_image(
    browser: webdriver.Chrome, pages: dict[str, str]
) -> None:
    show(browser, pages["forty"])
    assert browser.execute_script(
        "return [...document.querySelectorAll('.still')]"
        ".every(s => s.offsetHeight === 0 && s.naturalWidth > 0)"
    )


def test_page_can_be_read_without_script(browser: webdriver.Chrome, pages: dict[str, str]) -> None:
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        browser.get(pages["forty"])
    finally:
        browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    assert browser.execute_script(
        "return [...document.querySelectorAll('.still')]"
        ".every(s => s.complete && s.offsetHeight > 100)"
    )


def test_script_that_the_policy_does_not_name_is_refused(
    browser: webdriver.Chrome, pages: dict[str, str]
) -> None:
    show(browser, pages["forty"])
    browser.execute_script(
        "const s = document.createElement('script'); s.textContent = 'window.ran = true';"
        "document.body.append(s);"
    )
    assert browser.execute_script("return window.ran") is None
    assert "Content Security Policy" in logged(browser)[0]


def test_chart_has_the_colours_of_the_scheme(
    browser: webdriver.Chrome, pages: dict[str, str]
) -> None:
    found = []
    for scheme in ("light", "dark"):
        show(browser, pages["forty"], scheme=scheme)
        label = "document.querySelector('.live .role-axis-label text')"
        found.append(browser.execute_script(f"return getComputedStyle({label}).fill"))
    assert found[0] != found[1]


def test_wide_tables_scroll_in_their_own_box(
    browser: webdriver.Chrome, pages: dict[str, str]
) -> None:
    show(browser, pages["forty"])
    assert browser.execute_script(
        "const box = document.querySelector('.rounds').parentElement;"
        "return box.scrollWidth > box.clientWidth && box.tabIndex === 0"
    )
