"""Distributions as an installer lays them down, on a search path of the test's own; a pack and a regimen to try them on."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

HEAD = "from dermalint.plugins.specification import provides\nDERMALINT_INTERFACE = 1\n"
CALL = "import sys; from dermalint.cli.main import run; sys.exit(run())"

PACK = """\
pack trial 1.0.0
uses core, substances

measure broken "%" adds
measure parts ""

rule asks-for-broken caution
  limit broken of retinol to at most 1 %.
  why "A rule whose measure a broken plugin should compute."

rule asks-for-parts caution
  limit parts of retinol to at most 0.
  why "A rule whose measure a sound plugin computes."

rule asks-for-nothing caution
  never use mask in the morning.
  why "A rule without a plugin."
"""
REGIMEN = """\
regimen: Larkspur trial
products:
  clay: {kind: mask, base: water, contact: {timed: 10 min}}
  night-cream: {kind: serum, base: emulsion, ph: 5.5, contains: {retinol: 0.3 %}}
routines:
  - {slot: morning, days: [monday], steps: [clay]}
  - {slot: evening, days: [monday], steps: [night-cream]}
history: []
"""
SOUND = (
    HEAD
    + """
@provides
def measures():
    return {"parts": lambda product: (len(product.meant) * 10**9, len(product.meant) * 10**9)}
"""
)
OTHERS = ["trial.asks-for-nothing", "trial.asks-for-parts"]


def distribute(site: Path, name: str, group: str, table: Mapping[str, str], version: str = "1.0") -> None:
    """A distribution's table of entry points."""
    folder = site / f"{name.replace('-', '_')}-{version}.dist-info"
    folder.mkdir(parents=True)
    lines = "".join(f"{point} = {value}\n" for point, value in table.items())
    (folder / "entry_points.txt").write_text(f"[{group}]\n{lines}", encoding="utf-8")


def install(site: Path, name: str, point: str, text: str | None, value: str = "") -> str:
    """A distribution with one plugin, a module of this text (None: no module); gives how messages call the plugin."""
    module = name.replace("-", "_") + "_module"
    distribute(site, name, "dermalint.plugins", {point: value or module})
    if text is not None:
        (site / f"{module}.py").write_text(text, encoding="utf-8")
    return f"{name}: {point}"


@dataclass
class Ran:
    """A call of the command in a process of its own."""

    status: int
    out: str
    err: str
    _document: dict[str, Any] = field(default_factory=dict)

    @property
    def document(self) -> dict[str, Any]:
        """Standard output as JSON."""
        if not self._document:
            self._document = json.loads(self.out)
        return self._document

    @property
    def problems(self) -> list[dict[str, Any]]:
        """The problems of no file."""
        problems: list[dict[str, Any]] = self.document["problems"]
        return problems

    def rules(self) -> list[str]:
        """The rules of all findings."""
        return sorted(finding["rule"] for file in self.document["files"] for finding in file["findings"])


def run_apart(site: Path, cache: Path, *arguments: object, after: str = "", cwd: Path | None = None, **environment: str) -> Ran:
    """Run ``dermalint`` in a process that finds the distributions of ``site`` beside what is installed."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHONPATH", "DERMALINT_", "COLUMNS"))}
    code = CALL if not after else f"import sys; from dermalint.cli.main import run; status = run(); {after}; sys.exit(status)"
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        env={**kept, "PYTHONPATH": str(site), "DERMALINT_CACHE": str(cache), "PYTHONUTF8": "1", **environment},
        cwd=cwd,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)
