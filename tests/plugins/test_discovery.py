"""Plugins written in Python: found, checked, and kept from harming each other."""

from __future__ import annotations

import itertools
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from dermalint.packs.find import find_packs
from dermalint.packs.load import load_packs
from dermalint.plugins.discover import Plugins, load_plugins
from dermalint.plugins.entry_points import PLUGINS, EntryPoint

SOUND = """
from pathlib import Path
from dermalint.plugins.specification import provides

DERMALINT_INTERFACE = 1

@provides
def packs():
    return [Path({folder!r})]
"""

Install = Callable[[str], EntryPoint]

_numbers = itertools.count(1)


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Install]:
    """Put a module of this text on the path and give its entry point."""
    monkeypatch.syspath_prepend(tmp_path)
    before = set(sys.modules)

    def write(text: str) -> EntryPoint:
        name = f"larkspur_plugin_{next(_numbers)}"
        (tmp_path / f"{name}.py").write_text(text, encoding="utf-8")
        return EntryPoint(PLUGINS, "larkspur", name, name)

    yield write
    for name in set(sys.modules) - before:
        if name.startswith("larkspur_plugin_"):
            del sys.modules[name]


def faults(plugins: Plugins) -> list[str]:
    assert all(problem.level == "error" and problem.plugin for problem in plugins.problems)
    return [problem.message for problem in plugins.problems]


def test_a_sound_plugin_provides_its_packs(install: Install) -> None:
    entry = install(SOUND.format(folder="/srv/house-rules"))
    plugins = load_plugins([entry])
    assert plugins.problems == ()
    provided, problems = plugins.packs()
    assert problems == ()
    assert [(each.path, each.origin) for each in provided] == [(Path("/srv/house-rules"), entry.origin)]


def test_a_plugin_may_be_an_object_of_its_module(install: Install) -> None:
    text = SOUND.format(folder="/srv/house-rules").replace("DERMALINT_INTERFACE = 1", "")
    text += "\nclass Own:\n    DERMALINT_INTERFACE = 1\n    packs = staticmethod(packs)\n"
    entry = install(text)
    plugins = load_plugins([entry._replace(value=f"{entry.value}:Own")])
    assert plugins.problems == ()
    assert len(plugins.packs()[0]) == 1


UNFIT = {
    "fails to import": ("raise RuntimeError('no\\nluck')", "cannot be imported: no luck (RuntimeError)"),
    "leaves": ("import sys\nsys.exit(3)", "cannot be imported: 3 (SystemExit)"),
    "does not parse": ("def", "cannot be imported: "),
    "names no interface": ("x = 1", "does not say for which interface it is written (`DERMALINT_INTERFACE = 1`)"),
    "of another interface": ("DERMALINT_INTERFACE = 2", "is written for interface 2, and this version of dermalint offers 1"),
    "provides nothing": ("DERMALINT_INTERFACE = 1", "does not fit the interface: it provides nothing"),
    "provides what is unknown": (
        SOUND.format(folder="/srv") + "\n@provides\ndef pakcs():\n    return []\n",
        "does not fit the interface: unknown hook 'pakcs'",
    ),
    "asks for what is not given": (
        SOUND.format(folder="/srv").replace("def packs()", "def packs(region)"),
        "does not fit the interface: ",
    ),
}


@pytest.mark.parametrize(("text", "message"), UNFIT.values(), ids=list(UNFIT))
def test_an_unfit_plugin_is_named_and_left_out_and_the_others_stay(install: Install, text: str, message: str) -> None:
    unfit, sound = install(text), install(SOUND.format(folder="/srv/house-rules"))
    plugins = load_plugins([unfit, sound])
    (told,) = faults(plugins)
    assert told.startswith(f"The plugin {unfit.origin} {message}")
    assert told.endswith("It is left out.")
    assert [each.origin for each in plugins.packs()[0]] == [sound.origin]


def test_a_module_that_is_not_there(install: Install) -> None:
    entry = install("")._replace(value="larkspur_nowhere")
    assert "cannot be imported: No module named 'larkspur_nowhere'" in faults(load_plugins([entry]))[0]


@pytest.mark.parametrize("answer", ["None", "1 / 0", "['relative']", "[3]", "sys.exit(1)"])
def test_a_plugin_that_fails_when_asked_costs_its_own_answer_only(install: Install, answer: str) -> None:
    failing = install("import sys\n" + SOUND.format(folder="x").replace("[Path('x')]", answer))
    sound = install(SOUND.format(folder="/srv/house-rules"))
    plugins = load_plugins([failing, sound])
    assert plugins.problems == ()
    provided, problems = plugins.packs()
    assert [each.origin for each in provided] == [sound.origin]
    assert [problem.plugin for problem in problems] == [failing.origin]


def test_packs_of_plugins_are_found_and_loaded(install: Install, tmp_path: Path) -> None:
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "own.rules").write_text('pack own 1.0.0\nkind mask "mask"\n', encoding="utf-8")
    entry, astray = install(SOUND.format(folder=str(rules))), install(SOUND.format(folder=str(tmp_path / "nowhere")))
    table = "".join(f"{each.name} = {each.value}\n" for each in (entry, astray))
    (tmp_path / "larkspur-1.0.dist-info").mkdir()
    (tmp_path / "larkspur-1.0.dist-info" / "entry_points.txt").write_text(f"[dermalint.plugins]\n{table}", encoding="utf-8")
    found = find_packs(search_path=[str(tmp_path)])
    assert [(file.shown, file.origin) for file in found.files] == [((rules / "own.rules").as_posix(), entry.origin)]
    assert [problem.plugin for problem in found.problems] == [astray.origin]
    packs = load_packs(cache=False, search_path=[str(tmp_path)])
    assert [each.name for each in packs.packs] == ["own"]
    assert packs.world.kinds == {"mask": "mask"}
