"""Linked packs kept between runs: only ever faster, never different."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from dermalint.packs import cache, load
from dermalint.packs.load import load_packs
from dermalint.packs.model import PackSet

ACIDS = 'pack acids 1.0.0\nuses core\nrule one caution\n  separate strong-acid from retinoid by routine.\n  why "A reason."\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where this test's packs are kept."""
    folder = tmp_path / "kept"
    monkeypatch.setenv("DERMALINT_CACHE", str(folder))
    monkeypatch.setattr(cache, "_code_stamps", lambda: ["the code as it is"])  # somebody may be editing it just now
    return folder


@pytest.fixture
def texts(tmp_path: Path, core: str) -> Path:
    """A folder with two packs."""
    texts = tmp_path / "texts"
    texts.mkdir()
    (texts / "core.rules").write_text(core, encoding="utf-8")
    (texts / "acids.rules").write_text(ACIDS, encoding="utf-8")
    return texts


@pytest.fixture
def links(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows by one each time packs are really linked."""
    from dermalint.packs import link

    counted: list[int] = []
    really = link.link_files

    def count(files: object) -> PackSet:
        counted.append(1)
        return really(files)  # type: ignore[arg-type]

    monkeypatch.setattr(link, "link_files", count)
    return counted


def kept(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.packs"))


def loaded(texts: Path, **options: bool) -> PackSet:
    return load_packs([texts], installed=False, **options)


def test_the_second_load_is_taken_from_the_cache_and_is_equal(texts: Path, folder: Path, links: list[int]) -> None:
    first = loaded(texts)
    second = loaded(texts)
    assert len(links) == 1
    assert first == second
    assert second.rules[0].rule == first.rules[0].rule
    assert [path.suffix for path in folder.iterdir()] == [".packs"]


@pytest.mark.usefixtures("folder")
def test_problems_and_their_texts_are_kept_too(texts: Path, links: list[int]) -> None:
    (texts / "acids.rules").write_text(ACIDS.replace("retinoid", "retinoyd"), encoding="utf-8")
    first, second = loaded(texts), loaded(texts)
    assert len(links) == 1
    assert len(first.problems) == 1
    assert (first.problems, first.sources) == (second.problems, second.sources)


@pytest.mark.usefixtures("folder")
def test_problems_of_finding_are_not_kept(texts: Path, links: list[int]) -> None:
    both = load_packs([texts, texts / "nowhere"], installed=False)
    assert len(both.problems) == 1
    assert loaded(texts).problems == ()
    assert len(links) == 1


@pytest.mark.usefixtures("folder")
def test_no_rule_is_built_before_it_is_asked_for(
    texts: Path,
) -> None:
    loaded(texts)
    rule = loaded(texts).rules[0]
    assert rule._rule is None
    assert (rule.id, rule.triggers) == ("acids.one", {"alpha-hydroxy-acid"})
    assert rule.rule is rule.rule


@pytest.mark.usefixtures("folder")
def test_a_changed_pack_is_linked_again(texts: Path, links: list[int]) -> None:
    loaded(texts)
    (texts / "acids.rules").write_text(ACIDS.replace("caution", "advice"), encoding="utf-8")
    changed = loaded(texts)
    assert len(links) == 2
    assert changed.rules[0].rule.severity == "advice"


@pytest.mark.usefixtures("folder")
def test_another_version_is_linked_again(texts: Path, links: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    loaded(texts)
    monkeypatch.setattr(load, "__version__", "0.0.0")
    loaded(texts)
    assert len(links) == 2


@pytest.mark.usefixtures("folder")
def test_another_python_is_linked_again(texts: Path, links: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    loaded(texts)
    monkeypatch.setattr(sys, "version", "4.0")
    loaded(texts)
    assert len(links) == 2


@pytest.mark.usefixtures("folder")
def test_changed_code_is_not_shown_what_the_old_code_made(
    texts: Path, links: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded(texts)
    monkeypatch.setattr(cache, "_code_stamps", lambda: ["the code as it will be"])
    loaded(texts)
    assert len(links) == 2


def test_the_stamps_of_the_code_cover_the_grammar_and_the_linker() -> None:
    stamped = {stamp.split()[0] for stamp in cache._code_stamps()}
    assert {"rules.lark", "nodes.py", "parse.py", "items.py", "link.py", "world.py"} <= stamped


@pytest.mark.usefixtures("folder")
def test_a_renamed_file_is_linked_again(
    texts: Path,
) -> None:
    loaded(texts)
    (texts / "acids.rules").rename(texts / "renamed.rules")
    assert Path(loaded(texts).packs[0].path).name == "renamed.rules"


DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    "empty": lambda _: b"",
    "short": lambda data: data[:40],
    "half": lambda data: data[: len(data) // 2],
    "a bit turned": lambda data: data[:-10] + bytes([data[-10] ^ 1]) + data[-9:],
    "of another kind": lambda data: b"x" + data[1:],
    "not a pickle": lambda _: _with_checksum(b"nonsense"),
    "a pickle of something else": lambda _: _with_checksum(pickle.dumps({"a": 1})),
    "a pickle of what is gone": lambda _: _with_checksum(b"cdermalint.packs.model\nGone\n."),
}


def _with_checksum(payload: bytes) -> bytes:
    from hashlib import blake2b

    return cache._MAGIC + blake2b(payload, digest_size=32).digest() + payload


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=list(DAMAGES))
def test_a_damaged_file_is_linked_again_and_mended(
    texts: Path, folder: Path, links: list[int], damage: Callable[[bytes], bytes]
) -> None:
    expected = loaded(texts)
    (path,) = kept(folder)
    path.write_bytes(damage(path.read_bytes()))
    assert loaded(texts) == expected
    assert len(links) == 2
    assert loaded(texts) == expected
    assert len(links) == 2


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="files have no owners here")
def test_only_the_users_own_files_are_trusted(
    texts: Path, folder: Path, links: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded(texts)
    (path,) = kept(folder)
    assert path.stat().st_mode & 0o077 == 0
    path.chmod(0o602)
    loaded(texts)
    assert len(links) == 2
    monkeypatch.setattr(os, "getuid", lambda: path.stat().st_uid + 1)
    loaded(texts)
    assert len(links) == 3


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="links are followed here")
def test_links_are_not_followed(texts: Path, folder: Path, tmp_path: Path, links: list[int]) -> None:
    loaded(texts)
    (path,) = kept(folder)
    path.rename(tmp_path / "moved")
    path.symlink_to(tmp_path / "moved")
    loaded(texts)
    assert len(links) == 2


def test_a_folder_that_cannot_be_made_means_no_cache(texts: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    monkeypatch.setenv("DERMALINT_CACHE", str(tmp_path / "file" / "kept"))
    assert loaded(texts).rules[0].id == "acids.one"


def test_a_disk_that_takes_no_more_leaves_no_half_file(texts: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    assert loaded(texts).rules[0].id == "acids.one"
    assert list(folder.iterdir()) == []


def test_the_cache_can_be_switched_off(texts: Path, folder: Path, links: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    loaded(texts, cache=False)
    assert not folder.exists()
    monkeypatch.setenv("DERMALINT_CACHE", "")
    loaded(texts)
    loaded(texts)
    assert len(links) == 3


def test_where_packs_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DERMALINT_CACHE", raising=False)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache.cache_folder() == tmp_path / "dermalint"
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    monkeypatch.setattr(os.path, "expanduser", lambda _: str(tmp_path))
    assert cache.cache_folder() == tmp_path / ".cache" / "dermalint"
    monkeypatch.setattr(os.path, "expanduser", lambda path: path)
    assert cache.cache_folder() is None
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path))
    assert cache.cache_folder() == tmp_path / "dermalint" / "cache"
    monkeypatch.setenv("LOCALAPPDATA", "")
    assert cache.cache_folder() is None


def test_the_oldest_are_forgotten(texts: Path, folder: Path) -> None:
    for number in range(cache.KEPT + 3):
        (texts / "acids.rules").write_text(ACIDS + f"# {number}\n", encoding="utf-8")
        loaded(texts)
    assert len(kept(folder)) == cache.KEPT


LOAD_AND_TELL = """
import sys
from pathlib import Path
from dermalint.packs.load import load_packs
packs = load_packs([Path(sys.argv[1])], installed=False)
print([(rule.id, rule.rule.requirement) for rule in packs.rules])
print(sorted(sys.modules))
"""


def run_apart(texts: Path) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", LOAD_AND_TELL, str(texts)], stdout=subprocess.PIPE, text=True)


def test_two_at_once_agree_and_leave_one_whole_file(texts: Path, folder: Path) -> None:
    running = [run_apart(texts) for _ in range(2)]
    told = [process.communicate()[0].splitlines()[0] for process in running]
    assert [process.returncode for process in running] == [0, 0]
    assert told[0] == told[1]
    assert len(kept(folder)) == len(list(folder.iterdir())) == 1


@pytest.mark.usefixtures("folder")
def test_what_the_cached_form_does_without(
    texts: Path,
) -> None:
    cold = run_apart(texts).communicate()[0].splitlines()
    warm = run_apart(texts).communicate()[0].splitlines()
    assert cold[0] == warm[0]
    assert "'lark'" in cold[1]
    spared = ("lark", "jsonschema", "pluggy", "tempfile", "difflib", "importlib.metadata")
    assert [name for name in spared if f"'{name}'" in warm[1]] == []
    assert "dermalint_grammar.parse'" not in warm[1]
    assert "dermalint.packs.link'" not in warm[1]
