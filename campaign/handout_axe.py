"""Asks axe-core, in a browser, whether pages are accessible, and whether anything is cut off or scrolls sideways.

    npm install axe-core            (in any folder)
    python campaign/handout_axe.py --axe FOLDER/node_modules/axe-core/axe.min.js PAGE... [--pictures FOLDER]

Each page is asked on a phone, on a desktop and on a desktop at 200 % zoom, light and dark.  ``--pictures`` keeps what was
seen, and the pages as they are printed, for looking at.  The exit status is 1 where axe-core finds a violation or a page
is wider than its screen, 2 where something needed is missing.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))
from browser import Browser, find_browser

VIEWS: dict[str, dict[str, Any]] = {
    "phone": {"width": 390, "scale": 2, "phone": True},
    "desktop": {"width": 1280},
    "desktop at 200 %": {"width": 640, "scale": 2},
}
RUN = """
axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then(found => ({
  passes: found.passes.length,
  incomplete: found.incomplete.map(rule => rule.id),
  violations: found.violations.map(rule => [rule.id, rule.nodes.map(node => node.html.slice(0, 120))]),
  sideways: document.documentElement.scrollWidth > document.documentElement.clientWidth,
}))
"""


def main() -> int:
    """Asks, and tells."""
    parser = argparse.ArgumentParser(description="Ask axe-core about pages.")
    parser.add_argument("--axe", type=Path, required=True, help="axe.min.js of the npm package axe-core")
    parser.add_argument("--pictures", type=Path, help="a folder for pictures of the pages")
    parser.add_argument("pages", nargs="+", type=Path)
    asked = parser.parse_args()
    path = find_browser()
    if path is None or not asked.axe.is_file():
        print("needs Chromium and axe-core", file=sys.stderr)
        return 2
    axe = asked.axe.read_text(encoding="utf-8")
    wrong = 0
    with Browser(path) as browser:
        for page in asked.pages:
            for view, screen in VIEWS.items():
                for shade in ("light", "dark"):
                    browser.look(page, **screen, dark=shade == "dark")
                    # The protocol's own commands are not held back by the page's policy, which lets no script in.
                    browser.ask("Runtime.evaluate", expression=axe)
                    found = browser.value(RUN)
                    bad = bool(found["violations"]) or found["sideways"]
                    wrong += bad
                    print(
                        f"{page.name}, {view}, {shade}: {found['passes']} checks passed, "
                        f"{found['violations'] or 'no violation'}{', scrolls sideways' if found['sideways'] else ''}, "
                        f"undecided: {', '.join(found['incomplete']) or 'none'}",
                        flush=True,
                    )
                    if asked.pictures:
                        name = f"{page.stem} {view} {shade}.png".replace(" ", "-").replace("%", "")
                        (asked.pictures / name).write_bytes(browser.picture())
            if asked.pictures:
                (asked.pictures / f"{page.stem}-printed.pdf").write_bytes(browser.printed())
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
