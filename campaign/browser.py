"""Chromium without a window, asked over a pipe in its own protocol; development only.

Its command line knows neither the narrow screens of phones nor zoom, which pages have to be looked at with.
"""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
from itertools import count
from pathlib import Path
from typing import Any, Self

NAMES = ("chromium", "chromium-browser", "google-chrome")
_COMMANDS, _ANSWERS = 3, 4  # the descriptors that --remote-debugging-pipe reads and writes


def find_browser() -> str | None:
    """The path of a Chromium on this machine."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


class Browser:
    """One tab of a browser that ends with the ``with`` block."""

    def __init__(self, path: str) -> None:
        self._numbers = count(1)
        self._session: dict[str, str] = {}
        self._unread = b""
        self._folder = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        commands, self._write = os.pipe()
        self._read, answers = os.pipe()
        # A shell puts the pipes where the browser expects them: the descriptors may be in use here.
        shell = f'exec "$@" {_COMMANDS}<&{commands} {_ANSWERS}>&{answers}'
        options = ["--headless", "--no-sandbox", "--disable-gpu", "--remote-debugging-pipe", "--hide-scrollbars"]
        self._process = subprocess.Popen(
            ["bash", "-c", shell, "bash", path, *options, f"--user-data-dir={self._folder.name}", "about:blank"],
            pass_fds=(commands, answers),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(commands)
        os.close(answers)
        targets = self.ask("Target.getTargets")["targetInfos"]
        tab = next(target["targetId"] for target in targets if target["type"] == "page")
        self._session = {"sessionId": self.ask("Target.attachToTarget", targetId=tab, flatten=True)["sessionId"]}
        self.ask("Page.enable")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self._process.terminate()
        self._process.wait()
        os.close(self._write)
        os.close(self._read)
        self._folder.cleanup()

    def ask(self, method: str, **values: object) -> dict[str, Any]:
        """The answer to one command of the protocol.  Raises RuntimeError where it is refused or the browser has ended."""
        number = next(self._numbers)
        command = json.dumps({"id": number, "method": method, "params": values, **self._session})
        rest = memoryview(command.encode() + b"\0")
        while rest:
            rest = rest[os.write(self._write, rest) :]
        while (told := self._told()).get("id") != number:
            pass
        if "error" in told:
            raise RuntimeError(f"{method}: {told['error']}")
        result: dict[str, Any] = told["result"]
        return result

    def _told(self) -> dict[str, Any]:
        while b"\0" not in self._unread:
            got = os.read(self._read, 1 << 20)
            if not got:
                raise RuntimeError("the browser has ended")
            self._unread += got
        message, _, self._unread = self._unread.partition(b"\0")
        told: dict[str, Any] = json.loads(message)
        return told

    def look(self, page: Path, *, width: int, scale: float = 1, dark: bool = False, phone: bool = False) -> None:
        """Open a page on a screen of this width, in CSS pixels; ``scale`` is how many pixels of the screen make one."""
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=scale, mobile=phone)
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.ask("Emulation.setEmulatedMedia", media="", features=[scheme])
        self.ask("Page.navigate", url=page.resolve().as_uri())
        while self._told().get("method") != "Page.loadEventFired":
            pass

    def value(self, expression: str) -> Any:
        """The value of a JavaScript expression, awaited."""
        told = self.ask("Runtime.evaluate", expression=expression, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in told:
            raise RuntimeError(str(told["exceptionDetails"]))
        return told["result"].get("value")

    def picture(self) -> bytes:
        """The whole page as PNG."""
        width, height = self.value("[innerWidth, document.documentElement.scrollHeight]")
        clip = {"x": 0, "y": 0, "width": width, "height": height, "scale": 1}
        return base64.b64decode(self.ask("Page.captureScreenshot", captureBeyondViewport=True, clip=clip)["data"])

    def printed(self) -> bytes:
        """The page as the browser prints it, on the paper that its style names."""
        return base64.b64decode(self.ask("Page.printToPDF", preferCSSPageSize=True)["data"])
