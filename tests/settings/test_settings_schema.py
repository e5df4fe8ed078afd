"""The published schema of settings: valid itself, and of one mind with the reader."""

from __future__ import annotations

import json
import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from dermalint.regimen.surroundings import CLOCKS
from dermalint.settings.model import SettingsError
from dermalint.settings.read import FAIL_AT, KEYS, PART_KEYS, POSSIBLE, STANCES, read_settings

PROJECT = Path(__file__).resolve().parents[2]
SCHEMA: dict[str, Any] = json.loads(files("dermalint.settings").joinpath("settings.schema.json").read_text(encoding="utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)

GOOD = [
    "",
    'packs = ["house"]\nplugins = []\nregion = "eu"\nstance = "strict"\nfail-at = "never"\npossible = "fail"\n',
    'exclude = ["drafts/", "!keep"]\nknown = "known.json"\n',
    '[severities]\nacids = "advice"\n"retinoids.some-rule" = "off"\nlayering.other = "avoid"\n',
    '[day]\nmorning = "06:30"\nbed = "23:00"\n',
    '[day]\nevening = "9:05"\n',
    '[[folder]]\npath = "archive"\nfail-at = "never"\nseverities.acids = "off"\nday.midday = "12:15"\n',
    '[[folder]]\npath = "."\nregion = "us"\nstance = "usual"\n[[folder]]\npath = "a/b"\n',
]
BAD = [
    'regon = "eu"\n',
    'region = ""\n',
    'stance = "strickt"\n',
    'fail-at = "off"\n',
    'possible = "never"\n',
    'packs = "house"\n',
    'packs = [""]\n',
    'exclude = "drafts/"\n',
    'known = ""\n',
    'known = ["a"]\n',
    'severities = "off"\n',
    '[severities]\nacids = "warn"\n',
    '[severities]\nacids.x = "warn"\n',
    '[severities]\nacids.x.y = "off"\n',
    '[day]\nmornin = "06:30"\n',
    '[day]\nmorning = "6.30"\n',
    '[day]\nmorning = "24:00"\n',
    '[[folder]]\nregion = "eu"\n',
    '[[folder]]\npath = "/a"\n',
    '[[folder]]\npath = "a\\\\b"\n',
    '[[folder]]\npath = "a"\npacks = ["x"]\n',
    'folder = "a"\n',
]


def reader_accepts(folder: Path, text: str) -> bool:
    path = folder / "dermalint.toml"
    path.write_text(text, encoding="utf-8")
    try:
        read_settings(str(path))
    except SettingsError:
        return False
    return True


def test_the_schema_is_a_schema_and_has_the_readers_words() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert set(SCHEMA["properties"]) == set(KEYS)
    assert set(SCHEMA["properties"]["folder"]["items"]["properties"]) == {"path", *PART_KEYS}
    assert set(SCHEMA["$defs"]["day"]["properties"]) == set(CLOCKS)
    assert tuple(SCHEMA["$defs"]["stance"]["enum"]) == STANCES
    assert tuple(SCHEMA["$defs"]["fail-at"]["enum"]) == FAIL_AT
    assert tuple(SCHEMA["properties"]["possible"]["enum"]) == POSSIBLE


@pytest.mark.parametrize("text", GOOD)
def test_both_take_what_is_right(text: str, tmp_path: Path) -> None:
    VALIDATOR.validate(tomllib.loads(text))
    assert reader_accepts(tmp_path, text)


@pytest.mark.parametrize("text", BAD)
def test_both_refuse_what_is_wrong(text: str, tmp_path: Path) -> None:
    assert not VALIDATOR.is_valid(tomllib.loads(text))
    assert not reader_accepts(tmp_path, text)


def test_the_example_of_the_guide_follows_the_schema() -> None:
    guide = (PROJECT / "docs" / "daily-work.md").read_text(encoding="utf-8")
    example = guide.split("```toml\n", 1)[1].split("```", 1)[0]
    assert "[[folder]]" in example
    VALIDATOR.validate(tomllib.loads(example))
