"""The pages in ``docs/packs`` say what the packs say."""

from __future__ import annotations

import importlib.util
from types import ModuleType

import pytest
from practice import PROJECT, shipped


@pytest.fixture(scope="module")
def maker() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_packs", PROJECT / "docs" / "make_packs.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_pages_are_up_to_date(maker: ModuleType) -> None:
    kept = {path.name: path.read_text("utf-8") for path in maker.FOLDER.glob("*.md")}
    made = maker.pages()
    assert sorted(kept) == sorted(made), "run `make docs`"
    assert [name for name in made if made[name] != kept[name]] == [], "run `make docs`"


def test_every_rule_is_on_its_page_with_its_reason_and_sources(maker: ModuleType) -> None:
    made = maker.pages()
    for linked in shipped().rules:
        rule = linked.rule
        page = made[f"{linked.pack}.md"]
        assert f"## {rule.name.text}\n" in page
        for text in (rule.why, rule.advise, rule.disputed, *(source.text for source in rule.sources)):
            assert text in page
