"""Every way in which a plugin can be broken costs one named problem, and nothing of anybody else's."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from fake_distributions import HEAD, OTHERS, PACK, Ran, install

Review = Callable[..., Ran]

HANG = "__import__('threading').Event().wait()"
QUICK = {"DERMALINT_PLUGIN_SECONDS": "1.5"}


def giving(what: str, before: str = "") -> str:
    """A plugin whose hook ``measures`` gives this."""
    return f"{HEAD}{before}\n@provides\ndef measures():\n    return {what}\n"


def measuring(what: str) -> str:
    """A plugin whose measure gives this."""
    return giving("{'broken': broken}", f"def broken(product):\n    return {what}\n")


# What is wrong: the module's text, and what the problem says of it.
NEEDED: dict[str, tuple[str | None, str]] = {
    "not there": (None, "cannot be imported: it raised ModuleNotFoundError: No module named"),
    "no Python": ("def", "cannot be imported: it raised SyntaxError: "),
    "raises on import": ("raise RuntimeError('no\\nluck')", "cannot be imported: it raised RuntimeError: no luck."),
    "leaves on import": ("import sys\nsys.exit(0)", "cannot be imported: it raised SystemExit: 0."),
    "an exception that cannot be told": (
        "class Odd(Exception):\n    def __str__(self):\n        raise ValueError\nraise Odd",
        "cannot be imported: it raised Odd.",
    ),
    "hangs on import": (HANG, "cannot be imported: it did not come back within 1.5 seconds."),
    "names no interface": ("x = 1", "does not say for which interface it is written (`DERMALINT_INTERFACE = 1`)."),
    "out of date": ("DERMALINT_INTERFACE = 0", "is out of date: written for interface 0, where 1 is offered."),
    "too new": ("DERMALINT_INTERFACE = 2", "is too new: written for interface 2, where 1 is offered."),
    "an interface in words": ("DERMALINT_INTERFACE = 'one'", "has a DERMALINT_INTERFACE that is no whole number"),
    "provides nothing": ("DERMALINT_INTERFACE = 1", "does not fit the interface: it provides nothing."),
    "a hook that is unknown": (
        giving("{}") + "@provides\ndef measure():\n    return {}\n",
        "does not fit the interface: unknown hook 'measure'",
    ),
    "a hook that asks for more": (
        giving("{}").replace("measures()", "measures(region)"),
        "does not fit the interface: Plugin ",
    ),
    "another hook than it promises": (
        giving("{}").replace("measures", "report_formats"),
        "has no hook `measures`, as its name promises.",
    ),
    "a hook that raises": (
        giving("1 / 0"),
        "failed when it was asked for its measures: it raised ZeroDivisionError: division by zero.",
    ),
    "a hook that leaves": (giving("exit(1)"), "failed when it was asked for its measures: it raised SystemExit: 1."),
    "a hook that hangs": (giving(HANG), "failed when it was asked for its measures: it did not come back within 1.5 seconds."),
    "a hook that gives nothing": (giving("None"), "gave what its hook `measures` must not give: nothing (None) where"),
    "a hook that gives a number": (giving("{'broken': 3}"), "a value of the type int for broken, where a function"),
    "a hook without the promised name": (giving("{}"), "does not give broken from its hook `measures`, as its name promises."),
    "a measure that raises": (measuring("1 / 0"), "raised ZeroDivisionError: division by zero when it measured night-cream."),
    "a measure that leaves": (measuring("exit(1)"), "raised SystemExit: 1 when it measured night-cream."),
    "a measure that asks for more": (giving("{'broken': lambda: None}"), "raised TypeError: "),
    "a measure that hangs": (measuring(HANG), "did not come back within 1.5 seconds when it measured night-cream."),
    "a measure in fractions": (measuring("(0.5, 0.5)"), "gave 0.5 where whole billionths were expected when it measured"),
    "a measure that is one number": (measuring("3"), "gave a value of the type int where the lowest and the highest"),
    "a measure upside down": (measuring("(2, 1)"), "gave a highest value below the lowest when it measured night-cream."),
}


@pytest.mark.parametrize(("text", "told"), NEEDED.values(), ids=list(NEEDED))
def test_what_a_rule_asks_for_and_does_not_get(site: Path, review: Review, text: str | None, told: str) -> None:
    origin = install(site, "larkspur-broken", "measures.broken", text)
    ran = review(**QUICK)
    (problem,) = ran.problems
    assert problem["message"].startswith(f"The plugin {origin} ")
    assert told in problem["message"]
    assert problem["message"].endswith("Not judged where broken is asked for: trial.asks-for-broken.")
    assert (problem["level"], problem["plugin"]) == ("error", origin)
    assert problem["suggestion"]
    assert (ran.status, ran.rules(), ran.err) == (3, OTHERS, "")


def test_an_object_that_is_not_in_its_module(site: Path, review: Review) -> None:
    install(site, "larkspur-broken", "measures.broken", giving("{}"), value="larkspur_broken_module:own.plugin")
    ran = review()
    assert "has no attribute 'own'" in ran.problems[0]["message"]
    assert (ran.status, ran.rules()) == (3, OTHERS)


def test_no_plugin_for_a_measure(review: Review) -> None:
    ran = review()
    (problem,) = ran.problems
    assert problem["message"] == (
        "No plugin that can be used computes the measure broken (an entry point `measures.broken` in `dermalint.plugins`). "
        "Not judged where broken is asked for: trial.asks-for-broken."
    )
    assert (problem["plugin"], ran.status, ran.rules()) == ("broken", 3, OTHERS)


@pytest.mark.parametrize("text", [NEEDED["raises on import"][0], HANG])
def test_nobody_asks_so_it_is_not_even_imported(site: Path, review: Review, text: str) -> None:
    install(site, "larkspur-broken", "measures.broken", text)
    ran = review(only=("trial.asks-for-parts", "trial.asks-for-nothing"))
    assert (ran.status, ran.problems, ran.rules()) == (1, [], OTHERS)


SPEAKS = {
    "on import": "print('hello')\n" + measuring("(5 * 10**9, 5 * 10**9)"),
    "when asked for its measures": giving("print('hello') or {'broken': lambda product: (5 * 10**9, None)}"),
    "when it measures": measuring("print('hello') or (5 * 10**9, None)"),
    "as bytes": measuring("__import__('sys').stdout.buffer.write(b'hello') and (5 * 10**9, None)"),
}


@pytest.mark.parametrize("text", SPEAKS.values(), ids=list(SPEAKS))
def test_printing_is_kept_out_of_the_report_and_told_and_the_plugin_counts(site: Path, review: Review, text: str) -> None:
    origin = install(site, "larkspur-broken", "measures.broken", text)
    ran = review()
    (problem,) = ran.problems
    assert problem["message"] == (
        f"The plugin {origin} prints to standard output, where the report goes; what it printed was dropped."
    )
    assert (problem["level"], ran.status) == ("hint", 1)
    assert ran.rules() == ["trial.asks-for-broken", *OTHERS]


def test_what_is_left_behind_prints_nowhere(site: Path, review: Review) -> None:
    talks_on = "import threading\nwhile True:\n    print('hello')\n    threading.Event().wait(0.01)\n"
    install(site, "larkspur-broken", "measures.broken", talks_on)
    ran = review(DERMALINT_PLUGIN_SECONDS="1.5")
    assert "hello" not in ran.out
    assert (ran.status, ran.rules()) == (3, OTHERS)


NAMES = {
    "dermalint's own": ("measures.strength", "defines strength, which dermalint has itself"),
    "another's": ("measures.parts", "defines parts, which the plugin larkspur-sound: measures.parts defines too"),
    "of no hook": ("commands.try", "names no hook of this version of dermalint"),
    "misspelt": ("measure.broken", "names no hook of this version of dermalint"),
    "in capitals": ("measures.Broken", "needs a name in small letters, digits and hyphens behind `measures.`"),
    "none": ("measures", "needs a name in small letters, digits and hyphens behind `measures.`"),
    "of an ending": ("regimen_formats.yaml", "defines yaml, which dermalint has itself"),
    "of a report": ("report_formats.sarif", "defines sarif, which dermalint has itself"),
}


@pytest.mark.parametrize(("point", "told"), NAMES.values(), ids=list(NAMES))
def test_a_name_that_cannot_be_used_is_told_without_importing_anything(
    site: Path, review: Review, point: str, told: str
) -> None:
    origin = install(site, "larkspur-zealous", point, "raise RuntimeError('imported')")
    ran = review(only=("trial.asks-for-parts", "trial.asks-for-nothing"))
    (problem,) = ran.problems
    assert problem["message"].startswith(f"The plugin {origin} {told}")
    assert (problem["level"], problem["plugin"], ran.status, ran.rules()) == ("hint", origin, 1, OTHERS)
    assert problem["suggestion"]


def test_what_a_hook_gives_beyond_its_entry_points_is_told(site: Path, review: Review) -> None:
    install(site, "larkspur-broken", "measures.broken", giving("dict.fromkeys(['broken', 'more'], lambda product: None)"))
    (problem,) = review().problems
    assert "gives more from its hook `measures`, but no entry point `measures.more`; it is not used" in problem["message"]
    assert problem["level"] == "hint"


PACKS = {
    "raises": ("1 / 0", "failed when it was asked for its packs: it raised ZeroDivisionError"),
    "gives nothing": ("None", "nothing (None) where a list of paths was expected"),
    "gives a text": ("'/srv'", "a value of the type str where a list of paths was expected"),
    "gives a number": ("[3]", "a value of the type int where a path was expected"),
    "gives a relative path": ("['house']", "house is not an absolute path"),
    "is lazy and raises": ("(1 / 0 for _ in 'x')", "raised ZeroDivisionError"),
}


@pytest.mark.parametrize(("what", "told"), PACKS.values(), ids=list(PACKS))
def test_packs_that_are_not_given(site: Path, review: Review, what: str, told: str) -> None:
    text = giving(what).replace("measures", "packs")
    origin = install(site, "larkspur-broken", "packs.house", text)
    ran = review(only=("trial.asks-for-parts", "trial.asks-for-nothing"))
    (problem,) = ran.problems
    assert told in problem["message"]
    assert problem["message"].endswith("It is left out.")
    assert (problem["plugin"], ran.status, ran.rules()) == (origin, 3, OTHERS)


def test_a_fault_is_one_problem_however_many_files_and_rules_it_costs(site: Path, review: Review) -> None:
    install(site, "larkspur-broken", "measures.broken", measuring("1 / 0"))
    folder = site.parent
    again = PACK.replace("rule asks-for-nothing", "rule asks-too caution\n  limit broken of retinol to at most 2 %.\n  "
                         'why "x"\n\nrule asks-for-nothing')  # fmt: skip
    (folder / "trial.rules").write_text(again, encoding="utf-8")
    for number in range(3):
        text = (folder / "trial.regimen.yaml").read_text(encoding="utf-8")
        (folder / f"more-{number}.regimen.yaml").write_text(text.replace("night-cream", f"cream-{number}"), encoding="utf-8")
    ran = review(folder)
    (problem,) = ran.problems
    assert "when it measured night-cream" in problem["message"]
    assert problem["message"].endswith("asked for: trial.asks-for-broken, trial.asks-too.")
    assert len(ran.rules()) == 2 * 4


def test_processes_that_share_the_files_tell_the_same(site: Path, review: Review) -> None:
    install(site, "larkspur-broken", "measures.broken", measuring("1 / 0 if product.ph == 4 * 10**9 else None"))
    folder = site.parent
    text = (folder / "trial.regimen.yaml").read_text(encoding="utf-8")
    for number in range(70):
        ph = "4" if number in (20, 60) else "5"
        more = text.replace("night-cream", f"cream-{number}").replace("5.5", ph)
        (folder / f"m{number:02}.regimen.yaml").write_text(more, encoding="utf-8")
    alone, shared = review(folder), review(folder, "--jobs", "2")
    assert alone.out == shared.out
    assert "when it measured cream-20" in alone.problems[0]["message"]
    assert (alone.status, shared.status) == (3, 3)
