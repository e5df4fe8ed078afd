"""What pages of HTML share: a head that lets nothing in over a network, and the drawings of the severities."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from pathlib import Path

from dermalint.report.markup import Markup, element, raw
from dermalint.report.remarks import CARE

_HERE = Path(__file__)

# One drawing a severity, so that nothing hangs on colour or on what fonts there are.
_SIGNS = {
    "avoid": "M4.7 1h6.6L15 4.7v6.6L11.3 15H4.7L1 11.3V4.7z M5 5l6 6 M11 5l-6 6",
    "caution": "M8 1.5 15 14.5H1z M8 6v4 M8 12.2v.6",
    "advice": "M2 14l1-4 8-8 3 3-8 8z M9.5 3.5l3 3",
}


def own_file(name: str) -> str:
    """The text of a style or script of this folder."""
    return _HERE.with_name(name).read_text(encoding="utf-8")


def head(title: str, style: str, script: str | None = None) -> Markup:
    """The head of a page; only this style and this script may run, and nothing is fetched."""
    allowed = f"style-src '{_digest(style)}'" + (f"; script-src '{_digest(script)}'" if script is not None else "")
    policy = f"default-src 'none'; {allowed}; base-uri 'none'; form-action 'none'"
    return element(
        "head",
        {},
        element("meta", {"charset": "utf-8"}),
        element("meta", {"http-equiv": "Content-Security-Policy", "content": policy}),
        element("meta", {"name": "viewport", "content": "width=device-width, initial-scale=1"}),
        element("meta", {"name": "color-scheme", "content": "light dark"}),
        element("title", {}, title),
        raw("style", style),
    )


def sign_sheet() -> Markup:
    """The drawings of the severities, each to be used by its name."""
    drawings = [
        element(
            "symbol", {"id": f"sign-{name}", "viewBox": "0 0 16 16"},
            element("path", {"d": path, "fill": "none", "stroke": "currentColor", "stroke-width": "1.6"}),
        )
        for name, path in _SIGNS.items()
    ]  # fmt: skip
    return element("svg", {"class": "drawings", "aria-hidden": "true", "focusable": "false"}, *drawings)


def care_footer() -> Markup:
    """The caution that ends everything a person reads."""
    return element("footer", {}, element("p", {"class": "care"}, element("strong", {}, "Please note. "), CARE))


def _digest(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"
