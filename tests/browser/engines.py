"""The same phone in other browsers: WebKit, as in Safari, on a display of its own, and Firefox, which is told
what to do by WebDriver BiDi and needs no driver."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

from tests.browser.phone import CLOCK, USUAL, Phone, _program
from tests.places import mini_browser

MIDDLE = """
const e = document.querySelector(arguments[0]);
if (!e.closest(".bar")) e.scrollIntoView({block: "center"});
const r = e.getBoundingClientRect(), x = r.left + r.width / 2, y = r.top + r.height / 2;
const seen = document.elementFromPoint(x, y);
return [Math.round(x), Math.round(y), seen === e || e.contains(seen)];
"""
AWAKE = (
    "window.steady += 3000; window.lastSeen = null; lastSeen = {wall: Date.now(), steady: performance.now()};"
)


class OtherPhone(Phone):
    """What a phone does, of a browser that can't run a script ahead of a page: each opening is a copy of the
    page with that script in it, at one address."""

    def __init__(self, *, zone: str = "Australia/Melbourne") -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.drift_ms = 0.0
        self._started({**os.environ, "TZ": zone})
        self.resize()

    def open(self, path: Path, true_ms: float, *, before: str = "") -> None:
        script = CLOCK % (true_ms + self.drift_ms) + before
        page = path.read_text(encoding="utf-8").replace("<title>", f"<script>{script}</script><title>", 1)
        copy = Path(self.folder.name) / path.name
        copy.write_text(page, encoding="utf-8")
        self._load(copy.as_uri())

    def tap(self, id: str) -> None:
        self._press(f"#{id}", 0.0)

    def hold(self, id: str, seconds: float = 1.2) -> None:
        self._press(f"#{id}", seconds)

    def cue(self, id: str) -> None:
        self._press(f"#cues [data-id={id}]", 0.0)

    def _press(self, which: str, seconds: float) -> None:
        """A finger on what it means and on nothing that lies over it; after a touch it has been awake."""
        if not seconds:
            self.run(AWAKE)
        x, y, hits = self.run(MIDDLE, which)
        assert hits, f"something lies over {which}"
        self._touch(x, y, seconds)

    def complaints(self) -> list[str]:
        return []

    def _started(self, environment: dict[str, str]) -> None:
        raise NotImplementedError

    def _load(self, address: str) -> None:
        raise NotImplementedError

    def _touch(self, x: int, y: int, seconds: float) -> None:
        raise NotImplementedError


class WebKit(OtherPhone):
    """WebKitGTK's small browser, by its own driver."""

    def _started(self, environment: dict[str, str]) -> None:
        from selenium import webdriver
        from selenium.webdriver.webkitgtk.options import Options
        from selenium.webdriver.webkitgtk.service import Service

        ours, theirs = os.pipe()
        screen = ["-screen", "0", "1280x1024x24", "-nolisten", "tcp"]
        self._display = subprocess.Popen(
            ["Xvfb", "-displayfd", str(theirs), *screen], pass_fds=(theirs,), stderr=subprocess.DEVNULL
        )
        os.close(theirs)
        with os.fdopen(ours) as told:  # a whole line: it ends when nobody listens to it
            number = told.readline().strip()
        alone = {"DBUS_SESSION_BUS_ADDRESS": "disabled:", "NO_AT_BRIDGE": "1"}
        options = Options()
        options.binary_location = str(mini_browser())
        options.add_argument("--automation")
        service = Service(_program("WebKitWebDriver"), env={**environment, "DISPLAY": f":{number}", **alone})
        self.browser = webdriver.WebKitGTK(options=options, service=service)

    def resize(self, size: tuple[int, int] = USUAL) -> None:
        self.browser.set_window_size(*size)

    def _load(self, address: str) -> None:
        self.browser.get(address)

    def _touch(self, x: int, y: int, seconds: float) -> None:
        from selenium.webdriver.common.actions.action_builder import ActionBuilder

        actions = ActionBuilder(self.browser)
        finger = actions.pointer_action
        finger.move_to_location(x, y).pointer_down().pause(seconds).pointer_up()
        actions.perform()

    def close(self) -> None:
        self.browser.quit()
        self._display.terminate()
        self._display.wait(20)
        self.folder.cleanup()


class Firefox(OtherPhone):
    """Firefox without a head."""

    def _started(self, environment: dict[str, str]) -> None:
        from websocket import create_connection

        asked = ["--headless", "--no-remote", "--remote-debugging-port=0", "--profile", self.folder.name]
        self._process = subprocess.Popen(
            [_program("firefox-esr"), *asked, "about:blank"],
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self._process.stderr is not None
        listens = (re.search(r"ws://\S+", line) for line in self._process.stderr)
        address = next(found[0] for found in listens if found)
        self._line = create_connection(f"{address}/session", suppress_origin=True, timeout=60)
        self._asked = 0
        self._ask("session.new", capabilities={})
        self._tab = self._ask("browsingContext.getTree")["contexts"][0]["context"]

    def _ask(self, method: str, **parameters):
        self._asked += 1
        self._line.send(json.dumps({"id": self._asked, "method": method, "params": parameters}))
        while True:
            answer = json.loads(self._line.recv())
            if answer.get("id") == self._asked:
                assert answer["type"] == "success", answer
                return answer["result"]

    def resize(self, size: tuple[int, int] = USUAL) -> None:
        width, height = size
        viewport = {"width": width, "height": height}
        self._ask("browsingContext.setViewport", context=self._tab, viewport=viewport)

    def run(self, script: str, *arguments):
        called = f"(function(){{{script}}}).apply(null, {json.dumps(arguments)})"
        answer = self._ask(
            "script.callFunction",
            functionDeclaration=f"function(){{ return JSON.stringify({called} ?? null); }}",
            awaitPromise=False,
            target={"context": self._tab},
        )
        assert answer["type"] == "success", answer
        return json.loads(answer["result"]["value"])

    def _load(self, address: str) -> None:
        self._ask("browsingContext.navigate", context=self._tab, url=address, wait="complete")

    def _touch(self, x: int, y: int, seconds: float) -> None:
        finger = {"type": "pointer", "id": "finger", "parameters": {"pointerType": "touch"}}
        steps = [
            {"type": "pointerMove", "x": x, "y": y},
            {"type": "pointerDown", "button": 0},
            {"type": "pause", "duration": round(1000 * seconds)},
            {"type": "pointerUp", "button": 0},
        ]
        self._ask("input.performActions", context=self._tab, actions=[{**finger, "actions": steps}])

    def close(self) -> None:
        self._line.close()
        self._process.terminate()
        self._process.wait(20)
        for _ in range(20):  # what it still writes into its profile
            shutil.rmtree(self.folder.name, ignore_errors=True)
            if not Path(self.folder.name).exists():
                break
            time.sleep(0.1)


ENGINES: dict[str, type[Phone]] = {"browser": Phone, "webkit": WebKit, "firefox": Firefox}
