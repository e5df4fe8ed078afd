"""Discovery among many installed distributions: what the light scan costs, and what loading plugins adds."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib.metadata import distributions
from pathlib import Path

from clock import median_of
from dermalint.plugins.catalogue import read_catalogue
from dermalint.plugins.installed import Installed

DISTRIBUTIONS = 60
PLUGINS = 10

_PLUGIN = """\
from dermalint.plugins.specification import provides

DERMALINT_INTERFACE = 1


@provides
def measures():
    return {"NAME": lambda product: (0, None)}
"""


def write_distributions(folder: Path) -> list[str]:
    """Sixty distributions as an installer lays them down, ten of them with a plugin; gives the names of their measures."""
    folder.mkdir(parents=True)
    measures = []
    for number in range(DISTRIBUTIONS):
        about = folder / f"bench_distribution_{number}-1.{number}.dist-info"
        about.mkdir()
        (about / "METADATA").write_text(f"Name: bench-distribution-{number}\nVersion: 1.{number}\n", encoding="utf-8")
        table = f"[console_scripts]\nbench-{number} = bench_{number}:main\n"
        if number < PLUGINS:
            measure = f"bench-measure-{number}"
            measures.append(measure)
            (folder / f"bench_plugin_{number}.py").write_text(_PLUGIN.replace("NAME", measure), encoding="utf-8")
            table += f"\n[dermalint.plugins]\nmeasures.{measure} = bench_plugin_{number}\n"
        (about / "entry_points.txt").write_text(table, encoding="utf-8")
    return measures


def measure_discovery(folder: Path, tell: Callable[[str, float, str], None]) -> None:
    """The scan that every run makes, the standard library's for comparison, and loading the plugins."""
    print(f"Discovery ({DISTRIBUTIONS} distributions, {PLUGINS} of them plugins)")
    measures = write_distributions(folder)
    path = [str(folder)]
    sys.path.insert(0, str(folder))
    try:
        tell("reading all entry points, nothing imported", median_of(20, lambda: read_catalogue(None, path)), "in every run")

        def ask_library() -> None:
            for distribution in distributions(path=path):
                list(distribution.entry_points)

        tell("the same by the standard library", median_of(20, ask_library), "for comparison")
        names = tuple(measures)

        def load() -> None:
            for name in names:
                sys.modules.pop(f"bench_plugin_{name.rpartition('-')[2]}", None)
            installed = Installed(lambda: read_catalogue(None, path))
            if not installed.measures_ready(names, "bench") or installed.take_faults():
                raise RuntimeError("A plugin of the bench does not load")

        load()  # pluggy is imported once
        tell(f"reading them and loading {PLUGINS} plugins", median_of(5, load), "only what is asked for is loaded")
    finally:
        sys.path.remove(str(folder))
