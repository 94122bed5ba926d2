"""A thumb on the card: taps and types in a browser, as a golfer would."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.ui import WebDriverWait

from sgputt.scorecard import CardOptions, Reading, read_scorecard

PATIENCE_S = 10

# Names, sizes and contrast of what can be seen, as a checker of accessibility would look at them.
LOOK = """
const seen = (node) => node.getClientRects().length > 0
  && !node.closest('.heard, dialog:not([open])');
const name = (node) => node.getAttribute('aria-label') || (node.labels ? [...node.labels]
  .map((label) => label.textContent).join(' ') : '').trim() || node.textContent.trim();
const said = (node) => `${node.tagName} ${node.id} ${node.className} ${name(node).slice(0, 40)}`;
const controls = [...document.querySelectorAll('button, input, select, textarea')].filter(seen);
const linear = (part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
const light = (text) => {
  const [r, g, b] = text.match(/[\\d.]+/g).map((part) => linear(Number(part) / 255));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const behind = (node) => {
  const colour = getComputedStyle(node).backgroundColor;
  if (!/, 0\\)$/.test(colour)) return colour;
  return node.parentElement ? behind(node.parentElement) : 'rgb(255, 255, 255)';
};
const contrast = (node) => {
  const [a, b] = [light(getComputedStyle(node).color), light(behind(node))].sort((x, y) => y - x);
  return (a + 0.05) / (b + 0.05);
};
const texts = [...document.querySelectorAll('#app *')].filter((node) => seen(node) && !node.disabled
  && [...node.childNodes].some((child) => child.nodeType === 3 && child.data.trim()));
const small = (node) => {
  const { width, height } = node.getBoundingClientRect();
  return width < 44 || height < 44;
};
const ids = [...document.querySelectorAll('[id]')].map((node) => node.id);
return {
  nameless: controls.filter((node) => !name(node)).map(said),
  small: controls.filter(small).map(said),
  pale: texts.filter((node) => contrast(node) < 4.5).map((n) => `${said(n)} ${contrast(n)}`),
  legendless: [...document.querySelectorAll('fieldset')].filter((set) =>
    !set.querySelector(':scope > legend')?.textContent.trim()).map(said),
  twice: ids.filter((id, index) => ids.indexOf(id) !== index),
  dangling: [...document.querySelectorAll('[aria-describedby], [aria-controls], [aria-labelledby]')]
    .flatMap((node) => ['aria-describedby', 'aria-controls', 'aria-labelledby']
      .map((key) => node.getAttribute(key)).filter((id) => id && !document.getElementById(id))),
  wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
  cut: controls.filter((node) => node.tagName === 'BUTTON' && node.scrollWidth > node.clientWidth)
    .map(said),
};
"""


class Thumb:
    """Opens the card and uses it."""

    def __init__(self, browser: webdriver.Chrome, page: Path) -> None:
        self.browser = browser
        self.page = page
        self.downloads = page.parent / "downloads"

    def open(self, width: int = 390, height: int = 844, scheme: str = "light") -> None:
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        feature = {"name": "prefers-color-scheme", "value": scheme}
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [feature]})
        where = {"behavior": "allow", "downloadPath": str(self.downloads)}
        self.browser.execute_cdp_cmd("Browser.setDownloadBehavior", where)
        self.browser.get(self.page.as_uri())

    def open_new(self, width: int = 390, height: int = 844, scheme: str = "light") -> None:
        """Open it as one who never used it."""
        self.open(width, height, scheme)
        self.run("localStorage.clear()")
        self.open(width, height, scheme)

    def run(self, script: str, *arguments: object) -> Any:
        return self.browser.execute_script(script, *arguments)

    def find(self, css: str) -> WebElement:
        return self.browser.find_element(By.CSS_SELECTOR, css)

    def tap(self, css: str) -> None:
        """Tap what is there; the browser refuses what is hidden or covered.

        A busy machine may take its time to lay the page out, so it is waited for.
        """
        found = self.find(css)
        WebDriverWait(self.browser, PATIENCE_S).until(lambda _: found.is_displayed())
        self.run("arguments[0].scrollIntoView({block: 'center'})", found)
        found.click()

    def type(self, css: str, text: str) -> None:
        self.tap(css)
        self.find(css).clear()
        self.find(css).send_keys(text)
        self.run("document.activeElement.blur()")

    def putt(self, number: int, length: str, *taps: tuple[str, str]) -> None:
        """Type the length of a putt and tap what else is known of it."""
        self.type(f"#putt-{number}-length", length)
        for key, value in taps:
            self.tap(f"[data-putt='{number - 1}'] [data-set='{key}'][data-value='{value}']")

    def why(self, hole: int, putt: int, cause: str) -> None:
        """Say after the round why a putt missed."""
        if not self.run("return document.getElementById('causes').open"):
            self.tap("#causes summary")
        self.tap(f".why[data-hole='{hole}'][data-putt='{putt - 1}'] [data-why='{cause}']")

    def text(self, css: str) -> str:
        found: str = self.run("return document.querySelector(arguments[0]).textContent", css)
        return " ".join(found.split())

    def value(self, css: str) -> str:
        found: str = self.run("return document.querySelector(arguments[0]).value", css)
        return found

    def faults(self) -> list[str]:
        """What the page says is in the way of saving."""
        self.tap("[data-view='save']")
        found: list[str] = self.run(
            "return [...document.querySelectorAll('#faults button')].map((b) => b.textContent)"
        )
        return found

    def put(self, card: dict[str, Any]) -> None:
        """Take up a card as if it had been typed, and go to saving."""
        kept = {"version": 1, "view": "save", "at": None, "saved": "", **card}
        key = "sgputt card " + json.loads(self.text("#given"))["id"]
        until = time.monotonic() + PATIENCE_S
        taken = False
        # What is stored may reach the next page's process a moment after the page itself.
        while not taken:
            assert time.monotonic() < until, "the card was not taken up"
            self.run("localStorage.setItem(arguments[0], arguments[1])", key, json.dumps(kept))
            self.open()
            found = self.kept(key)
            taken = found["view"] == "save" and found["holes"] == kept["holes"]

    def kept(self, key: str) -> dict[str, Any]:
        """What the browser keeps under a name."""
        found: dict[str, Any] = json.loads(
            self.run("return localStorage.getItem(arguments[0])", key)
        )
        return found

    def save(self) -> Path:
        """Save the file and wait until it has come down whole."""
        name = self.text("#named")
        self.tap("#save")
        until = time.monotonic() + PATIENCE_S
        while not (self.downloads / name).exists():
            assert time.monotonic() < until, f"{name} did not come down"
            time.sleep(0.05)
        return self.downloads / name

    def reading(self, options: CardOptions | None = None) -> Reading:
        """What the importer makes of the text that the page would save."""
        text = self.value("#text").encode()
        return read_scorecard(text, "card.csv", options or CardOptions())

    def logged(self) -> list[str]:
        entries = self.browser.get_log("browser")  # type: ignore[no-untyped-call]
        return [entry["message"] for entry in entries]


def typed_round(**values: object) -> dict[str, Any]:
    """The part of a kept card that says which round it is."""
    usual = {
        **{"date": "2026-05-03", "player": "Mara Lindqvist", "course": "Saltmarsh Links"},
        **{"event": "", "round": "1", "stimp": "", "unit": "ft", "pace": "3"},
        **{"length": "18", "first": "1", "extra": 0, "sure": ""},
    }
    return {**usual, **values}


def typed_putt(length: str = "8", **values: object) -> dict[str, Any]:
    """One putt of a kept card."""
    usual = {"slope": "", "turn": "", "pace": "", "side": "", "cause": "", "off": False}
    usual |= {"aimSide": "", "aimBy": ""}
    return {"length": length, **usual, **values}


def typed_hole(*lengths: str, **values: object) -> dict[str, Any]:
    """One hole of a kept card, holed with its last putt unless ``values`` say otherwise."""
    putts = [typed_putt(length) for length in lengths]
    return {"par": "", "count": len(lengths), "ending": "", "putts": putts, **values}
