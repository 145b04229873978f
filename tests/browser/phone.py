"""A phone in a test: headless Chromium of phone size, in a zone of its own, with a clock that only the test
moves."""

from __future__ import annotations

import base64
import os
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from briefgen import __version__
from briefgen.airmath.clocks import tz_version
from briefgen.build.build import check
from briefgen.core import resources
from briefgen.core.context import Context, Stamp
from briefgen.plan.one_pass import each_pass
from briefgen.render.html.clock import clock_data, ground_clock
from tests.places import REPOSITORY

REGATTA = REPOSITORY / "missions" / "regatta.yaml"
ARGUMENTS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
# The page asks Date.now and performance.now; both stand still until the test moves them.
CLOCK = (
    "(() => { window.wall = %f; window.steady = 1000; Date.now = () => window.wall; performance.now = () =>"
    " window.steady; })();"
)
NO_STORAGE = "Object.defineProperty(window, 'localStorage', {get() { throw new Error('refused'); }});"

# Every element with text of its own: its colour against the first background behind it that is not
# transparent, after WCAG 2.1; those whose ratio is below the one that is given.
CONTRAST = """
const linear = (v) => v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4;
const lum = (c) => { const [r, g, b] = c.map(linear); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
const behind = (e) => {
  for (; e; e = e.parentElement) {
    const c = rgb(getComputedStyle(e).backgroundColor);
    if (c.length < 4 || c[3] > 0) return c.slice(0, 3);
  }
  return [255, 255, 255];
};
const bad = [];
for (const e of document.querySelectorAll("body *:not(svg):not(svg *)")) {
  if (!e.offsetParent || ![...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim())) continue;
  const [a, b] = [lum(rgb(getComputedStyle(e).color).slice(0, 3)), lum(behind(e))];
  const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  if (ratio < arguments[0]) bad.push(e.tagName + " " + ratio.toFixed(2) + " " + e.textContent.slice(0, 40));
}
return bad;
"""


def z(text: str, day: str = "2027-01-30") -> float:
    """Milliseconds of Unix time of a Zulu time."""
    form = "%Y-%m-%d %H:%M:%S.%f" if "." in text else "%Y-%m-%d %H:%M:%S"
    return datetime.strptime(f"{day} {text}", form).replace(tzinfo=UTC).timestamp() * 1000.0


def page_of(mission: Path, folder: Path) -> tuple[Path, object, dict]:
    """(the page as a file, the plan, the page's data)."""
    checked = check(mission)
    sortie, mark = checked.mission.file.sortie, checked.planned.fingerprint
    stamp = Stamp(sortie.marking or "", sortie.name, mark.full, mark.spoken, __version__, tz_version())
    context = Context(stamp, (resources.templates_folder(),), resources.fonts_folder())
    ((name, content),) = ground_clock(checked.planned.plan, context)[0]
    path = folder / f"{mission.stem}-{name}"
    path.write_bytes(content)
    plan = checked.planned.plan
    return path, plan, clock_data(each_pass(plan)[0], context)


USUAL = (390, 844)  # width and height


class Phone:
    """``drift_ms``: by how much the phone's clock is ahead of the true time."""

    def __init__(
        self, *, zone: str = "Australia/Melbourne", size: tuple[int, int] = USUAL, drift_ms: float = 0.0
    ) -> None:
        from selenium import webdriver
        from selenium.webdriver.chrome.options import Options
        from selenium.webdriver.chrome.service import Service

        self.folder = tempfile.TemporaryDirectory()
        options = Options()
        options.binary_location = _program("chromium")
        for argument in (*ARGUMENTS, f"--user-data-dir={self.folder.name}"):
            options.add_argument(argument)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        service = Service(_program("chromedriver"), env={**os.environ, "TZ": zone})
        self.browser = webdriver.Chrome(options=options, service=service)
        self.resize(size)
        self.drift_ms = drift_ms
        self._before: list[str] = []

    def renew(self) -> None:
        """As if it had just been started, but for what pages have kept (``open_first``)."""
        self._forget()
        self.browser.get("about:blank")
        self.browser.set_script_timeout(30)
        self.browser.execute_cdp_cmd("Emulation.setScrollbarsHidden", {"hidden": False})
        self.resize()
        self.drift_ms = 0.0
        self.complaints()  # those of other pages

    def resize(self, size: tuple[int, int] = USUAL) -> None:
        """Another phone, by its width and height."""
        self.browser.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": True},
        )

    def printed(self, tries: int = 3) -> bytes:
        """The page as a PDF, as it prints. Chromium's printing gives up at times on a busy machine: then once
        more."""
        from selenium.common.exceptions import WebDriverException

        asked = {"preferCSSPageSize": True, "printBackground": True}
        while True:
            tries -= 1
            try:
                return base64.b64decode(self.browser.execute_cdp_cmd("Page.printToPDF", asked)["data"])
            except WebDriverException:
                if not tries:
                    raise

    def close(self) -> None:
        self.browser.quit()
        self.folder.cleanup()

    def open(self, path: Path, true_ms: float, *, before: str = "") -> None:
        """Open a page at a true time; ``before`` runs ahead of the page's own scripts."""
        self._forget()
        source = CLOCK % (true_ms + self.drift_ms) + before
        self._before = [
            self.browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": source})[
                "identifier"
            ]
        ]
        self.browser.get(path.as_uri())

    def open_first(self, path: Path, true_ms: float) -> None:
        """Open a page that has kept nothing yet."""
        self.open(path, true_ms)
        self.run("localStorage.clear()")
        self.open(path, true_ms)

    def _forget(self) -> None:
        """Nothing runs ahead of the next page's own scripts."""
        for script in self._before:
            self.browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", {"identifier": script})
        self._before = []

    def run(self, script: str, *arguments):
        return self.browser.execute_script(script, *arguments)

    def at(self, true_ms: float) -> None:
        """Time goes on to a true time, as on a phone that is awake."""
        self.run(
            "const d = arguments[0] - window.wall; window.wall += d; window.steady += d; tick();",
            true_ms + self.drift_ms,
        )

    def wait_for(self, script: str) -> None:
        """Until a script says true: for what the browser does in its own time."""
        from selenium.webdriver.support.ui import WebDriverWait

        WebDriverWait(self.browser, 20).until(lambda _: self.run(script))

    def text(self, id: str) -> str:
        """What is seen of an element, with plain spaces for those at which no line is broken."""
        return self.run(
            "const e = document.getElementById(arguments[0]); return e.offsetParent === null ? '' :"
            " e.innerText.replaceAll('\\u00a0', ' ');",
            id,
        )

    def tap(self, id: str) -> None:
        """A real click, which must hit the button and nothing that lies over it."""
        from selenium.webdriver.common.by import By

        self._hit(self.browser.find_element(By.ID, id))

    def hold(self, id: str, seconds: float = 1.2) -> None:
        """A thumb on a button for so long, by the wall clock of the machine."""
        from selenium.webdriver.common.action_chains import ActionChains
        from selenium.webdriver.common.by import By

        element = self.browser.find_element(By.ID, id)
        if not self.run("return !!arguments[0].closest('.bar')", element):
            self.run("arguments[0].scrollIntoView({block: 'center'})", element)
        ActionChains(self.browser).click_and_hold(element).pause(seconds).release().perform()

    def cue(self, id: str) -> None:
        from selenium.webdriver.common.by import By

        self._hit(self.browser.find_element(By.CSS_SELECTOR, f"#cues [data-id={id}]"))

    def _hit(self, element) -> None:
        self.run(
            "window.steady += 3000; window.lastSeen = null; lastSeen = {wall: Date.now(), steady:"
            " performance.now()};"
        )
        self.run("arguments[0].scrollIntoView({block: 'center'})", element)
        element.click()

    def log(self) -> list[str]:
        return self.run("return logLines(log)")

    def complaints(self) -> list[str]:
        """What the browser complained about."""
        return [
            entry["message"]
            for entry in self.browser.get_log("browser")
            if entry["level"] in ("SEVERE", "WARNING")
        ]


def _program(name: str) -> str:
    import shutil

    return shutil.which(name) or name


# ---------------------------------------------------------------- what several tests do with the clock


def hacked(phone: Phone) -> Phone:
    phone.at(z("03:05:00"))
    phone.run("hackMs = arguments[0]; show();", z("03:05:00"))
    phone.tap("hack-now")
    return phone


def in_each_state(phone: Phone, look: Callable[[Phone], list[str]]) -> dict[str, list[str]]:
    """What is found before the clock is set, as planned, with an overdue cue, once the hold is left, and once
    the abort was said."""
    found = {"not set": look(phone)}
    phone.run("hackMs = arguments[0]; show();", z("03:20:00"))
    phone.tap("hack-now")
    for name, at in (("planned", "03:21:00"), ("overdue", "03:26:00"), ("left", "03:29:00")):
        phone.at(z(at))
        found[name] = look(phone)
    phone.hold("abort-any")
    return {**found, "abort": look(phone)}


def moved(phone: Phone, seconds: int) -> None:
    """The true time moved by hand by whole minutes and tens of seconds."""
    for _ in range(abs(seconds) // 60):
        phone.run("document.querySelectorAll('#hand button')[arguments[0]].click()", 5 if seconds > 0 else 0)
    for _ in range(abs(seconds) % 60 // 10):
        phone.run("document.querySelectorAll('#hand button')[arguments[0]].click()", 4 if seconds > 0 else 1)


def overflow(phone: Phone) -> list[str]:
    """Elements that stick out sideways."""
    return phone.run(
        "return [...document.querySelectorAll('body *')].filter(e => e.offsetParent &&"
        " e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.hidden')).map(e => e.id ||"
        " e.tagName)"
    )
