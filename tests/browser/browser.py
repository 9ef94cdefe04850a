"""
A headless browser, spoken to over the pipe of its DevTools protocol by the standard library.

The protocol is published at chromedevtools.github.io/devtools-protocol: JSON messages that end
with a NUL, read by the browser from its file descriptor 3 and written to its descriptor 4.
"""

import base64
import json
import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome")
PATIENCE_S = 60.0
NARROW_PX, WIDE_PX = 390, 1200
PAPERS_IN = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}  # ISO 216; ANSI/ASME Y14.1 size A


def browser_path() -> str | None:
    """Return where the browser is, or None."""
    return next(filter(None, map(shutil.which, NAMES)), None)


class Browser:
    """One page of a running browser, and what it has said and fetched so far."""

    def __init__(self, ask: int, answer: int) -> None:
        self._ask, self._answer = ask, answer
        self._number = 0
        self._rest = b""
        self._session = ""
        self.complaints: list[str] = []  # console, uncaught errors, the browser's own log
        self.fetched: list[str] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)[
            "sessionId"
        ]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Send a command and wait for its answer."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._ask, json.dumps(message).encode() + b"\0")
        while True:
            heard = self._next()
            if heard.get("id") == self._number:
                if "error" in heard:
                    raise RuntimeError(f"{method}: {heard['error']}")
                return dict(heard["result"])

    def open(self, page: Path, *, width_px: int, **media: str) -> None:
        """Show a file in a window of this width, and wait until it stands."""
        self.complaints.clear()
        self.fetched.clear()
        self.window(width_px)
        features = [{"name": name, "value": value} for name, value in media.items()]
        self.call("Emulation.setEmulatedMedia", media="", features=features)
        self.call("Page.navigate", url=page.resolve().as_uri())
        end = time.monotonic() + PATIENCE_S
        while self.value("document.readyState") != "complete" or not self.value(
            "location.href.startsWith('file:')"
        ):
            if time.monotonic() > end:
                raise TimeoutError(f"{page} did not load")
            time.sleep(0.02)

    def window(self, width_px: int) -> None:
        """Set the window's width; two dots a pixel, as phones have."""
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width_px, height=844, deviceScaleFactor=2, mobile=False,
        )  # fmt: skip

    def value(self, expression: str) -> Any:
        """Return what an expression comes to in the page."""
        answer = self.call(
            "Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True
        )
        if "exceptionDetails" in answer:
            raise RuntimeError(json.dumps(answer["exceptionDetails"])[:2000])
        return answer["result"].get("value")

    def picture(self, file: Path) -> None:
        """Write the whole page as a PNG, not only what a window shows of it."""
        shot = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=True)
        file.write_bytes(base64.b64decode(shot["data"]))

    def paper(self, file: Path, *, size: str) -> None:
        """Print the page to a PDF of this paper size, with the page's own margins."""
        width, height = PAPERS_IN[size]
        pdf = self.call(
            "Page.printToPDF",
            paperWidth=width, paperHeight=height, generateTaggedPDF=True,
            marginTop=0.4, marginBottom=0.4, marginLeft=0.4, marginRight=0.4,
        )  # fmt: skip
        file.write_bytes(base64.b64decode(pdf["data"]))

    def _next(self) -> dict[str, Any]:
        """Read one message, keeping note of what the page said and fetched."""
        while b"\0" not in self._rest:
            part = os.read(self._answer, 1 << 16)
            if not part:
                raise RuntimeError("the browser is gone")
            self._rest += part
        message, _, self._rest = self._rest.partition(b"\0")
        heard = dict(json.loads(message))
        said = heard.get("params", {})
        match heard.get("method"):
            case "Runtime.consoleAPICalled":
                self.complaints.append(f"console.{said['type']}: {said['args']}")
            case "Runtime.exceptionThrown":
                self.complaints.append(f"error: {said['exceptionDetails']['text']}")
            case "Log.entryAdded":
                self.complaints.append(f"{said['entry']['level']}: {said['entry']['text']}")
            case "Network.requestWillBeSent":
                self.fetched.append(said["request"]["url"])
        return heard


@contextmanager
def headless(program: str) -> Iterator[Browser]:
    """Start a browser with nothing of the user's, and end it afterwards."""
    to_browser, ask = os.pipe()
    answer, from_browser = os.pipe()
    flags = ["--headless=new", "--remote-debugging-pipe", "--disable-gpu", "--no-first-run",
             "--disable-dev-shm-usage", "--disable-extensions", "--hide-scrollbars",
             "--disable-component-update", "--disable-background-networking"]  # fmt: skip
    if os.geteuid() == 0:
        flags.append("--no-sandbox")  # the sandbox refuses to run as root; the pages are ours
    with TemporaryDirectory(ignore_cleanup_errors=True) as home:
        shell = f'exec "$@" 3<&{to_browser} 4>&{from_browser}'
        process = subprocess.Popen(
            ["/bin/bash", "-c", shell, "browser", program, *flags, f"--user-data-dir={home}"],
            pass_fds=(to_browser, from_browser),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_browser)
        os.close(from_browser)
        try:
            yield Browser(ask, answer)
        finally:
            os.close(ask)  # the browser ends when nobody can ask it anything any more
            os.close(answer)
            try:
                process.wait(10.0)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
