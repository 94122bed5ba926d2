"""Pages in a real browser: nothing is fetched, run, cut off or written over something else."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from selenium import webdriver

from sgputt_reports.season_charts import season_charts
from tests.reports.cases import Case

PAGES = ("forty", "one", "hostile", "round", "squad", "course", "practice", "week")
WIDTHS = (390, 768, 1280)
PAPER_PX = 718  # A4 less the margins of the style, at 96 to the inch
SCREEN_PX = 844
MOST_SCREENS, MOST_WORDS = 10, 1800

# Texts that lie on each other: of leaves that are seen, more than two pixels of both.
OVERLAPS = """
const seen = [];
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
for (let node = walk.nextNode(); node; node = walk.nextNode()) {
  const parent = node.parentElement;
  if (!node.data.trim() || parent.closest('.heard')) continue;
  if (!parent.checkVisibility({visibilityProperty: true})) continue;
  const range = document.createRange();
  range.selectNodeContents(node);
  for (const box of range.getClientRects()) {
    if (box.width > 1 && box.height > 1) seen.push([box, node.data.trim().slice(0, 40)]);
  }
}
const wrong = [];
for (let a = 0; a < seen.length; a++) for (let b = a + 1; b < seen.length; b++) {
  const [p, q] = [seen[a][0], seen[b][0]];
  const wide = Math.min(p.right, q.right) - Math.max(p.left, q.left);
  const high = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
  if (wide > 2 && high > 0.35 * Math.min(p.height, q.height)) wrong.push([seen[a][1], seen[b][1]]);
}
return wrong;
"""
# Marks and words of a drawing outside their figure.
OUTSIDE = """
return [...document.querySelectorAll('figure svg')].filter(svg => svg.checkVisibility())
  .flatMap(svg => {
    const card = svg.closest('figure').getBoundingClientRect();
    return [...svg.querySelectorAll('text, circle, path, line, rect')].filter(mark => {
      const r = mark.getBoundingClientRect();
      return r.width + r.height > 0 && (r.left < card.left - 6 || r.right > card.right + 6);
    }).map(mark => mark.outerHTML.slice(0, 120));
  });
"""
# Contrast of every text with the first opaque ground behind it, by WCAG 2.1's formula.
FAINT = """
const rgb = text => (text.match(/[\\d.]+/g) || []).map(Number);
const light = c => c.slice(0, 3).map(v => v / 255)
  .map(v => v <= .03928 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4)
  .reduce((sum, v, i) => sum + v * [.2126, .7152, .0722][i], 0);
const ground = element => {
  for (let at = element; at; at = at.parentElement) {
    const c = rgb(getComputedStyle(at).backgroundColor);
    if (c.length === 3 || c[3] === 1) return c;
  }
  return [255, 255, 255];
};
const wrong = [];
for (const element of document.querySelectorAll('body *')) {
  const own = [...element.childNodes].some(n => n.nodeType === 3 && n.data.trim());
  if (!own || element.closest('.heard') || !element.checkVisibility()) continue;
  const style = getComputedStyle(element);
  const ink = rgb(element.namespaceURI.endsWith('svg') ? style.fill : style.color);
  const [a, b] = [light(ink), light(ground(element))].sort((x, y) => y - x);
  if ((a + .05) / (b + .05) < 4.5) {
    wrong.push([element.textContent.trim().slice(0, 30), (a + .05) / (b + .05)]);
  }
}
return wrong;
"""


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


def show(
    browser: webdriver.Chrome,
    address: str,
    width: int = 390,
    scheme: str = "light",
    media: str = "",
    opened: bool = False,
) -> None:
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    size = {"width": width, "height": SCREEN_PX, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": media, "features": features})
    browser.get(address)
    if opened:
        browser.execute_script("document.querySelectorAll('details').forEach(d => d.open = true)")


@pytest.fixture(autouse=True)
def _on_screen_after(browser: webdriver.Chrome) -> Iterator[None]:
    yield
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})


def logged(browser: webdriver.Chrome) -> list[str]:
    return [entry["message"] for entry in browser.get_log("browser")]  # type: ignore[no-untyped-call]


def ask(browser: webdriver.Chrome, script: str) -> Any:
    return browser.execute_script(script)


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("width", [*WIDTHS, PAPER_PX])
def test_page_fits_and_nothing_lies_on_anything(
    browser: webdriver.Chrome, pages: dict[str, str], name: str, width: int
) -> None:
    """With every heading open; the last width is that of paper, in the style of paper."""
    show(browser, pages[name], width, media="print" if width == PAPER_PX else "", opened=True)
    assert ask(browser, "return document.documentElement.scrollWidth") <= width
    assert ask(browser, "return performance.getEntriesByType('resource').length") == 0
    assert ask(browser, OVERLAPS) == []
    assert ask(browser, OUTSIDE) == []
    assert logged(browser) == []


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_stands_out_from_its_ground(
    browser: webdriver.Chrome, pages: dict[str, str], name: str, scheme: str
) -> None:
    show(browser, pages[name], scheme=scheme, opened=True)
    assert ask(browser, FAINT) == []


def test_a_season_on_a_phone_is_short(browser: webdriver.Chrome, pages: dict[str, str]) -> None:
    show(browser, pages["forty"])
    assert ask(browser, "return document.body.scrollHeight") <= MOST_SCREENS * SCREEN_PX
    assert ask(browser, "return document.body.innerText.split(/\\s+/).length") <= MOST_WORDS
    assert ask(
        browser,
        "return [...document.querySelectorAll('details')].every(d => !d.open && d.offsetHeight)",
    )


@pytest.fixture(scope="module")
def charts(forty: Case, one: Case, hostile: Case) -> dict[str, int]:
    seasons = {"forty": forty, "one": one, "hostile": hostile}
    drawn = {name: len(season_charts(case.analysis)) for name, case in seasons.items()}
    return {**drawn, "round": 2, "squad": 1, "course": 3, "practice": 0}


@pytest.mark.parametrize(
    "name", ["forty", "one", "hostile", "round", "squad", "course", "practice"]
)
def test_every_chart_is_drawn(
    browser: webdriver.Chrome, pages: dict[str, str], charts: dict[str, int], name: str
) -> None:
    show(browser, pages[name], opened=True)
    drawn = ask(
        browser,
        "return [...document.querySelectorAll('figure[id]')].map(f => [f.id,"
        " [...f.querySelectorAll('svg')].filter(s => s.checkVisibility())"
        "  .map(s => [s.getBoundingClientRect().width, s.querySelectorAll('*').length])])",
    )
    assert len(drawn) == charts[name]
    for chart, [[wide, marks]] in drawn:
        assert wide > 250, chart
        assert marks > 10, chart


def test_an_hour_of_practice_is_one_sheet(browser: webdriver.Chrome, pages: dict[str, str]) -> None:
    """On A4 and on Letter; a week has a sheet for each session."""
    papers = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}
    for name, sheets in (("practice", 1), ("week", 2)):
        show(browser, pages[name])
        for paper, (wide, high) in papers.items():
            size = {"paperWidth": wide, "paperHeight": high, "preferCSSPageSize": True}
            printed = browser.execute_cdp_cmd("Page.printToPDF", size)["data"]
            found = len(re.findall(rb"/Type\s*/Page\b(?!s)", base64.b64decode(printed)))
            assert found == sheets, f"{name} on {paper}"


def test_paper_shows_what_a_screen_keeps_behind_headings(
    browser: webdriver.Chrome, pages: dict[str, str]
) -> None:
    show(browser, pages["forty"], PAPER_PX, media="print")
    assert ask(
        browser,
        "return [...document.querySelectorAll('details > :not(summary)')]"
        ".every(e => e.getBoundingClientRect().height > 5)",
    )


def test_script_is_refused(browser: webdriver.Chrome, pages: dict[str, str]) -> None:
    show(browser, pages["forty"])
    browser.execute_script(
        "const s = document.createElement('script'); s.textContent = 'window.ran = true';"
        "document.body.append(s);"
    )
    assert ask(browser, "return window.ran") is None
    assert "Content Security Policy" in logged(browser)[0]


def test_chart_has_the_colours_of_the_scheme(
    browser: webdriver.Chrome, pages: dict[str, str]
) -> None:
    found = []
    for scheme in ("light", "dark"):
        show(browser, pages["forty"], scheme=scheme)
        found.append(
            ask(browser, "return getComputedStyle(document.querySelector('.charts svg text')).fill")
        )
    assert found[0] != found[1]


def test_what_is_wider_than_a_phone_scrolls_in_its_own_frame_and_shows_it(
    browser: webdriver.Chrome, pages: dict[str, str]
) -> None:
    show(browser, pages["round"], opened=True)
    assert ask(
        browser,
        "return [...document.querySelectorAll('.scroll')].every(box => box.tabIndex === 0"
        " && getComputedStyle(box).backgroundImage.includes('gradient'))",
    )
