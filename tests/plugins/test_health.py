"""``dermalint rules --plugins``: what is installed, and how it is; and who may run."""

from __future__ import annotations

from pathlib import Path

from fake_distributions import HEAD, PACK, Ran, distribute, install, run_apart


def health(site: Path, cache: Path, *arguments: str) -> tuple[Ran, dict[str, tuple[str, str, list[str]]]]:
    """Each entry point of the test's own distributions with its kind, what it gives, and the remarks on it."""
    ran = run_apart(site, cache, "rules", "--plugins", "--as", "json", *arguments)
    assert ran.document["format"] == "dermalint-plugins/1"
    found = {
        f"{each['distribution']}: {each['entry_point']}": (
            each["kind"],
            each["gives"],
            [f"{remark['level']}: {remark['message']}" for remark in each["remarks"]],
        )
        for each in ran.document["plugins"]
        if each["distribution"].startswith("larkspur")
    }
    return ran, found


def test_everything_in_order(tmp_path: Path, cache: Path) -> None:
    ran, found = health(tmp_path, cache)
    assert (ran.status, ran.err, found) == (0, "", {})
    shipped = {each["entry_point"]: each["in_order"] for each in ran.document["plugins"]}
    assert shipped["measures.free-acid"] is shipped["measures.retinol-equivalent"] is shipped["rulesets"] is True


def test_each_fault_stands_with_its_own_entry_point(tmp_path: Path, cache: Path) -> None:
    sound = HEAD + "@provides\ndef measures():\n    return {'parts': len, 'more': len}\n"
    install(tmp_path, "larkspur-one", "measures.parts", sound)
    install(tmp_path, "larkspur-two", "measures.parts", sound)
    install(tmp_path, "larkspur-three", "measures.broken", "raise RuntimeError('no luck')")
    install(tmp_path, "larkspur-four", "regimen_formats.trial", "print('hello')\n" + HEAD)
    for number, text in (("five", PACK), ("six", 'pack six 1.0.0\nkind kind\nkind x "x" in nowhere\n')):
        distribute(tmp_path, f"larkspur-{number}", "dermalint.packs", {"house": f"larkspur_{number}"})
        (tmp_path / f"larkspur_{number}").mkdir()
        (tmp_path / f"larkspur_{number}" / "house.rules").write_text(text, encoding="utf-8")
    distribute(tmp_path, "larkspur-seven", "dermalint.packs", {"house": "larkspur_seven"})
    ran, found = health(tmp_path, cache)
    assert ran.status == 3
    assert found["larkspur-one: measures.parts"] == (
        "Python",
        "measure parts",
        ["hint: gives more from its hook `measures`, but no entry point `measures.more`; it is not used"],
    )
    kind, gives, (told,) = found["larkspur-two: measures.parts"]
    assert (kind, gives) == ("Python", "nothing")
    assert told.startswith("error: defines parts, which the plugin larkspur-one: measures.parts defines too")
    assert found["larkspur-three: measures.broken"][2] == ["error: cannot be imported: it raised RuntimeError: no luck"]
    assert found["larkspur-four: regimen_formats.trial"][2] == [
        "error: does not fit the interface: it provides nothing",
        "hint: prints to standard output, where the report goes; what it printed was dropped",
    ]
    assert found["larkspur-five: house"] == ("text pack", "trial 1.0.0", [])
    assert "mistake" in found["larkspur-six: house"][2][0]
    assert found["larkspur-seven: house"][1] == "nothing"
    assert "no such folder is installed" in found["larkspur-seven: house"][2][0]


def test_what_is_left_out_is_listed_and_not_imported(tmp_path: Path, cache: Path) -> None:
    install(tmp_path, "larkspur-one", "measures.a", "raise RuntimeError")
    install(tmp_path, "larkspur-two", "measures.b", HEAD + "@provides\ndef measures():\n    return {'b': len}\n")
    ran, found = health(tmp_path, cache, "--only-plugins", "larkspur-two")
    assert found["larkspur-one: measures.a"][2] == ["hint: left out, as was asked"]
    assert found["larkspur-two: measures.b"][2] == ["hint: no pack declares the measure b, so no rule can ask for it"]
    assert ran.status == 0
    assert health(tmp_path, cache, "--without-plugins")[0].status == 0


def test_for_people(tmp_path: Path, cache: Path) -> None:
    install(tmp_path, "larkspur-one", "measures.a", "raise RuntimeError('no luck')")
    ran = run_apart(tmp_path, cache, "rules", "--plugins")
    assert ran.out.split("larkspur-one 1.0\n")[1].splitlines()[1:] == [
        "    Python │ measures.a, gives measure a",
        "  at fault │ Cannot be imported: it raised RuntimeError: no luck.",
        "       try │ Tell its maker; until then `--without-plugins` runs without it.",
        "",
    ]


def test_wrong_calls(tmp_path: Path, cache: Path) -> None:
    install(tmp_path, "larkspur-one", "measures.a", "raise RuntimeError")
    for arguments, told in (
        (("rules", "--plugins", "acids"), "--plugins lists all that is installed and takes no name."),
        (("rules", "--only-plugins", "larkspur-on"), "Did you mean larkspur-one?"),
        (("review", "x", "--only-plugins", "zzz"), "--only-plugins: no plugin “zzz” is installed."),
        (("review", "x", "--only-plugins", "larkspur-one", "--without-plugins"), "exclude each other"),
    ):
        ran = run_apart(tmp_path, cache, *arguments)
        assert (ran.status, ran.out) == (2, "")
        assert told in ran.err
