"""An environment of its own, beside the packages of the running one, into which distributions are really installed."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., str]


@pytest.fixture(scope="session")
def scripts(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of commands of a new environment that sees dermalint and its tools as they are installed here."""
    home = tmp_path_factory.mktemp("environment")
    venv.create(home, with_pip=False)
    (site,) = (path for path in home.rglob("site-packages") if path.is_dir())
    here = sysconfig.get_path("purelib")
    (site / "here.pth").write_text(f"import site; site.addsitedir({here!r})\n", encoding="utf-8")
    scripts = home / ("Scripts" if sys.platform == "win32" else "bin")
    command = scripts / "dermalint"
    command.write_text(
        f"#!{scripts / 'python'}\nimport sys\nfrom dermalint.cli.main import run\nsys.exit(run())\n", encoding="utf-8"
    )
    command.chmod(0o755)
    return scripts


@pytest.fixture(scope="session")
def run(scripts: Path, tmp_path_factory: pytest.TempPathFactory) -> Run:
    """Runs a command in that environment, without any network, and gives what it printed."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTHON", "VIRTUAL_ENV", "PYTEST", "DERMALINT"))
    }
    kept |= {
        "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}",
        "DERMALINT_CACHE": str(tmp_path_factory.mktemp("cache")),
        "PYTHONUTF8": "1",
        "PIP_NO_INDEX": "1",
        "PIP_NO_BUILD_ISOLATION": "0",  # pip's way to say that the backend is taken from this environment
        "PIP_DISABLE_PIP_VERSION_CHECK": "1",
    }

    def run(*command: object, cwd: Path, expected: int = 0) -> str:
        done = subprocess.run(
            [str(part) for part in command], cwd=cwd, env=kept, capture_output=True, encoding="utf-8", check=False
        )
        assert done.returncode == expected, f"{command} gave {done.returncode}\n{done.stdout}\n{done.stderr}"
        return done.stdout + done.stderr

    return run
