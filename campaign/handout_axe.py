"""Asks axe-core, in a browser, whether pages are accessible; development only.

    npm install axe-core            (in any folder)
    python campaign/handout_axe.py --axe FOLDER/node_modules/axe-core/axe.min.js PAGE...

The script stands beside the page's own policy, which would rightly keep it out, so a copy without the policy is asked.  Each
page is asked on a phone and on a desktop, light and dark.  The exit status is 1 where axe-core finds a violation, 2 where
something needed is missing.
"""

from __future__ import annotations

import argparse
import html
import json
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

RUN = """
<script>%s</script>
<script>
axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then(found => {
  const told = document.createElement("pre");
  told.id = "axe-told";
  told.textContent = JSON.stringify({
    passes: found.passes.length,
    incomplete: found.incomplete.map(rule => rule.id),
    violations: found.violations.map(rule => [rule.id, rule.nodes.map(node => node.html.slice(0, 120))]),
  });
  document.body.appendChild(told);
});
</script>
"""
VIEWS = {"phone": ["--window-size=500,900"], "desktop": ["--window-size=1280,900"]}
SHADES = {"light": [], "dark": ["--blink-settings=preferredColorScheme=0"]}
BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def ask(browser: str, axe: str, page: Path, options: list[str]) -> dict[str, object]:
    """What axe-core says of a page."""
    text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", page.read_text(encoding="utf-8"))
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "page.html"
        copy.write_text(text.replace("</body>", RUN % axe + "</body>"), encoding="utf-8")
        command = [browser, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}/profile", *options]
        command += ["--virtual-time-budget=60000", "--dump-dom", copy.as_uri()]
        done = subprocess.run(command, capture_output=True, encoding="utf-8", timeout=300, check=False)
    told = re.search(r'<pre id="axe-told">(.*?)</pre>', done.stdout, re.DOTALL)
    if told is None:
        raise RuntimeError(f"axe-core did not answer for {page}: {done.stderr[-500:]}")
    found: dict[str, object] = json.loads(html.unescape(told[1]))
    return found


def main() -> int:
    """Asks, and tells."""
    parser = argparse.ArgumentParser(description="Ask axe-core about pages.")
    parser.add_argument("--axe", type=Path, required=True, help="axe.min.js of the npm package axe-core")
    parser.add_argument("pages", nargs="+", type=Path)
    asked = parser.parse_args()
    browser = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    if browser is None or not asked.axe.is_file():
        print("needs Chromium and axe-core", file=sys.stderr)
        return 2
    axe = asked.axe.read_text(encoding="utf-8")
    wrong = 0
    for page in asked.pages:
        for view, size in VIEWS.items():
            for shade, setting in SHADES.items():
                found = ask(browser, axe, page, [*size, *setting])
                wrong += bool(found["violations"])
                print(
                    f"{page.name}, {view}, {shade}: {found['passes']} checks passed, {found['violations'] or 'no violation'}"
                    f", undecided: {found['incomplete'] or 'none'}"
                )
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
