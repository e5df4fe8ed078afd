"""Whatever becomes of what is kept between runs, every run tells the same, and none shows a trace."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from fake_distributions import CALL, PACK, REGIMEN, Ran

FINDS = "trial.asks-for-nothing"


def start(folder: Path, **environment: str) -> subprocess.Popen[str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHONPATH", "DERMALINT_", "XDG_"))}
    call = ("review", "trial.regimen.yaml", "--packs", "trial.rules", "--only", FINDS, "--as", "json", "--as-of", "2026-03-02")
    return subprocess.Popen(
        [sys.executable, "-c", CALL, *call],
        cwd=folder,
        env={**kept, "PYTHONUTF8": "1", **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )


def ended(process: subprocess.Popen[str]) -> Ran:
    out, err = process.communicate()
    ran = Ran(process.returncode, out, err)
    assert (ran.err, ran.status) == ("", 1)
    return ran


def test_every_run_tells_the_same(tmp_path: Path) -> None:
    (tmp_path / "trial.rules").write_text(PACK, encoding="utf-8")
    (tmp_path / "trial.regimen.yaml").write_text(REGIMEN, encoding="utf-8")
    cache = tmp_path / "cache"
    kept = {"DERMALINT_CACHE": str(cache)}

    # Two at once, on a cache that is not there yet.
    both = [ended(process) for process in (start(tmp_path, **kept), start(tmp_path, **kept))]
    assert both[0].out == both[1].out
    assert both[0].rules() == [FINDS]
    files = [path for path in cache.rglob("*") if path.is_file()]
    assert files
    assert not [path for path in files if path.name.startswith(".writing-")]

    # Warm; then every file that is kept is spoilt in its middle, or cut short.
    assert ended(start(tmp_path, **kept)).out == both[0].out
    for number, path in enumerate(files):
        data = path.read_bytes()
        middle = len(data) // 2
        path.write_bytes(data[:middle] + b"\xff\x00" + data[middle + 2 :] if number % 2 else data[:middle])
    assert ended(start(tmp_path, **kept)).out == both[0].out

    # A changed pack: never the finding of the old one.
    (tmp_path / "trial.rules").write_text(PACK.replace("never use mask in the morning", "never use mask"), encoding="utf-8")
    changed = ended(start(tmp_path, **kept))
    assert changed.rules() == [FINDS]
    assert changed.out != both[0].out
    (tmp_path / "trial.rules").write_text(PACK, encoding="utf-8")
    assert ended(start(tmp_path, **kept)).out == both[0].out


def test_a_home_that_cannot_be_written_to(tmp_path: Path) -> None:
    (tmp_path / "trial.rules").write_text(PACK, encoding="utf-8")
    (tmp_path / "trial.regimen.yaml").write_text(REGIMEN, encoding="utf-8")
    home = tmp_path / "home"
    home.mkdir()
    if hasattr(os, "getuid") and os.getuid() != 0:
        home.chmod(0o500)
    else:  # a mode keeps nobody out who may write everywhere: a file stands where the folder of caches should be
        (home / ".cache").write_text("in the way", encoding="utf-8")
    kept_in_home = {"HOME": str(home), "USERPROFILE": str(home), "LOCALAPPDATA": str(home / ".cache")}
    assert ended(start(tmp_path, **kept_in_home)).rules() == [FINDS]
