"""Plugins written in Python: found without being imported, imported when asked for, and kept from harming each other."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fake_distributions import HEAD, distribute

from dermalint.packs.find import find_packs
from dermalint.packs.load import load_packs
from dermalint.plugins.catalogue import HOOKS, MEASURES, TAKEN, read_catalogue
from dermalint.plugins.discover import Loader
from dermalint.plugins.faults import Fault, Unavailable, merge
from dermalint.plugins.installed import Installed
from dermalint.plugins.specification import Hooks

PACKS = HEAD + "from pathlib import Path\n@provides\ndef packs():\n    return [Path({folder!r})]\n"

Write = Callable[..., str]


@pytest.fixture
def write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Write]:
    """Lay down a distribution with plugins of one module; gives the module's name."""
    monkeypatch.syspath_prepend(tmp_path)
    before = set(sys.modules)

    def lay_down(name: str, text: str, *points: str) -> str:
        module = f"{name.replace('-', '_')}_plugin"
        (tmp_path / f"{module}.py").write_text(text, encoding="utf-8")
        distribute(tmp_path, name, "dermalint.plugins", dict.fromkeys(points, module))
        return module

    yield lay_down
    for name in set(sys.modules) - before:
        if name.endswith("_plugin"):
            del sys.modules[name]


def installed(tmp_path: Path, allowed: tuple[str, ...] | None = None) -> Installed:
    return Installed(lambda: read_catalogue(allowed, [str(tmp_path)]))


def test_the_catalogue_knows_the_hooks_of_the_specification() -> None:
    assert sorted(HOOKS) == sorted(TAKEN) == sorted(name for name in vars(Hooks) if not name.startswith("_"))


def test_nothing_is_imported_before_it_is_asked_for(tmp_path: Path, write: Write) -> None:
    text = HEAD + "@provides\ndef measures():\n    return {'a': len, 'b': abs}\n"
    module = write("larkspur", text, "measures.a", "measures.b")
    plugins = installed(tmp_path)
    assert plugins.catalogue.labels(MEASURES) == ("a", "b")
    assert plugins.packs() == []
    assert plugins.endings() == ()
    assert module not in sys.modules
    assert plugins.measures_ready(("a", "b"), "trial.rule")
    assert module in sys.modules
    assert plugins.take_faults() == ()


def test_a_plugin_may_be_an_object_of_its_module(tmp_path: Path, write: Write) -> None:
    text = PACKS.format(folder="/srv/house-rules").replace("DERMALINT_INTERFACE = 1", "")
    text += "class Own:\n    DERMALINT_INTERFACE = 1\n    packs = staticmethod(packs)\n"
    module = write("larkspur", text)
    distribute(tmp_path, "second", "dermalint.plugins", {"packs": f"{module}:Own"})
    plugins = installed(tmp_path)
    assert plugins.packs() == [(Path("/srv/house-rules"), "second: packs")]


def test_packs_of_plugins_are_found_and_loaded(tmp_path: Path, write: Write) -> None:
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "own.rules").write_text('pack own 1.0.0\nkind mask "mask"\n', encoding="utf-8")
    write("larkspur", PACKS.format(folder=str(rules)), "packs.house")
    write("astray", PACKS.format(folder=str(tmp_path / "nowhere")), "packs.house")
    found = find_packs(search_path=[str(tmp_path)])
    assert [(file.shown, file.origin) for file in found.files] == [((rules / "own.rules").as_posix(), "larkspur: packs.house")]
    assert [problem.plugin for problem in found.problems] == ["astray: packs.house"]
    packs = load_packs(cache=False, search_path=[str(tmp_path)])
    assert [each.name for each in packs.packs] == ["own"]
    assert packs.world.kinds == {"mask": "mask"}


def test_a_plugin_that_does_not_fit_is_taken_back_whole(tmp_path: Path, write: Write) -> None:
    text = HEAD + "@provides\ndef measures():\n    return {'a': len}\n@provides\ndef pakcs():\n    return []\n"
    write("larkspur", text, "measures.a", "packs.a")
    loader = Loader(read_catalogue(None, [str(tmp_path)]))
    for offer in loader.catalogue.offers:
        with pytest.raises(Unavailable, match="unknown hook 'pakcs'"):
            loader.function(offer)
    assert list(loader.manager.list_name_plugin()) == []


def test_after_a_call_that_hung_the_plugin_is_not_called_again(tmp_path: Path, write: Write) -> None:
    text = HEAD + "import threading\n@provides\ndef measures():\n    return {'a': lambda _: threading.Event().wait()}\n"
    write("larkspur", text, "measures.a")
    loader = Loader(read_catalogue(None, [str(tmp_path)]), seconds=0.5)
    (offer,) = loader.catalogue.offers
    function = loader.function(offer)
    calls = []
    with pytest.raises(Unavailable, match=r"did not come back within 0\.5 seconds when it was tried"):
        loader.call(offer, lambda: calls.append(1) or function(None), "when it was tried")
    with pytest.raises(Unavailable, match=r"did not come back within 0\.5 seconds when it was tried"):
        loader.call(offer, lambda: calls.append(2), "when it was tried again")
    assert calls == [1]


@pytest.mark.parametrize(
    ("allowed", "offered"),
    [
        (None, ["larkspur: measures.a", "larkspur: measures.b", "row: measures.c"]),
        ((), []),
        (("larkspur",), ["larkspur: measures.a", "larkspur: measures.b"]),
        (("measures.b", "row"), ["larkspur: measures.b", "row: measures.c"]),
    ],
)
def test_what_is_allowed(tmp_path: Path, write: Write, allowed: tuple[str, ...] | None, offered: list[str]) -> None:
    write("larkspur", "", "measures.a", "measures.b")
    write("row", "", "measures.c")
    catalogue = read_catalogue(allowed, [str(tmp_path)])
    assert [offer.entry.origin for offer in catalogue.offers] == offered
    assert len(catalogue.offers) + len(catalogue.left_out) == 3


def test_who_chose_to_do_without_is_reminded_and_no_more(tmp_path: Path, write: Write) -> None:
    write("larkspur", "raise RuntimeError", "measures.a")
    plugins = installed(tmp_path, ())
    assert not plugins.measures_ready(("a",), "trial.rule")
    (problem,) = merge(plugins.take_faults())
    assert (problem.level, problem.plugin) == ("hint", "larkspur: measures.a")
    assert problem.message.endswith("is left out, as was asked. Not judged where a is asked for: trial.rule.")


def test_of_one_name_twice_the_first_in_the_alphabet_counts(tmp_path: Path, write: Write) -> None:
    write("zinc", "", "measures.a")
    write("acid", "", "measures.a")
    catalogue = read_catalogue(None, [str(tmp_path)])
    assert [offer.entry.distribution for offer in catalogue.offers] == ["acid"]
    assert [problem.plugin for problem in catalogue.problems] == ["zinc: measures.a"]
    assert [offer.entry.distribution for offer in read_catalogue(("zinc",), [str(tmp_path)]).offers] == ["zinc"]


def test_versions_are_read_from_the_names_of_folders(tmp_path: Path) -> None:
    distribute(tmp_path, "larkspur-row", "dermalint.plugins", {"measures.a": "x"}, version="2.3.1")
    (offer,) = read_catalogue(None, [str(tmp_path)]).offers
    assert (offer.entry.distribution, offer.entry.version) == ("larkspur-row", "2.3.1")


def test_many_rules_are_counted_and_causes_told_once() -> None:
    faults = [Fault("measures", "a", "row: measures.a", f"cause {n}", "", needed=(f"r.{n}",)) for n in range(8)]
    (problem,) = merge(faults)
    assert problem.message == (
        "The plugin row: measures.a cause 0. Not judged where a is asked for: r.0, r.1, r.2, r.3, r.4 and 3 more."
    )
