"""Files named under ``use``: found, confined, and never the end of the run."""

from __future__ import annotations

from pathlib import Path

import pytest

from dermalint.regimen.model import ERROR, HINT, Reading
from dermalint.regimen.read import read_regimen

SHARED = "products:\n  wash: {kind: cleanser}\n"


def regimen(folder: Path, use: str, root: Path | None = None, more: str = "") -> Reading:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "calm.regimen.yaml"
    path.write_text(f"regimen: T\nuse: {use}\n{more}routines: [{{slot: evening, steps: [wash]}}]\n", encoding="utf-8")
    return read_regimen(path, shown="week/calm.regimen.yaml", root=root)


def messages(reading: Reading) -> list[str]:
    return [problem.message for problem in reading.problems]


def test_the_root_is_the_enclosing_repository(tmp_path: Path) -> None:
    (tmp_path / "shared.yaml").write_text(SHARED, encoding="utf-8")
    outside = regimen(tmp_path / "week", "[../shared.yaml]")
    assert messages(outside) == ["`../shared.yaml` lies outside the project."]
    (tmp_path / ".git").mkdir()
    inside = regimen(tmp_path / "week", "[../shared.yaml]")
    assert inside.problems == ()
    assert inside.regimens[0].products["wash"].place.path == "shared.yaml"


def test_a_link_does_not_lead_out(tmp_path: Path) -> None:
    (tmp_path / "secret.yaml").write_text(SHARED, encoding="utf-8")
    folder = tmp_path / "week"
    folder.mkdir()
    (folder / "shared.yaml").symlink_to(tmp_path / "secret.yaml")
    assert messages(regimen(folder, "shared.yaml")) == ["`shared.yaml` lies outside the project."]


@pytest.mark.parametrize("use", ["/etc/products.yaml", "'C:\\products.yaml'", "'..\\products.yaml'", "'file:products.yaml'"])
def test_only_relative_paths(use: str, tmp_path: Path) -> None:
    (message,) = messages(regimen(tmp_path, use))
    assert "no path relative to this file" in message


def test_a_file_does_not_use_itself_nor_one_that_uses_more(tmp_path: Path) -> None:
    assert messages(regimen(tmp_path, "[calm.regimen.yaml]")) == ["This file uses itself."]
    (tmp_path / "shared.yaml").write_text("use: [calm.regimen.yaml]\n" + SHARED, encoding="utf-8")
    reading = regimen(tmp_path, "[shared.yaml]")
    (problem,) = reading.problems
    assert problem.message == "A file of shared products has no field `use`."
    assert problem.place is not None
    assert problem.place.path == "week/shared.yaml"
    assert reading.sources["week/shared.yaml"].position(problem.place.start) == (1, 1)


def test_a_missing_file_is_an_error_at_its_entry_and_makes_no_other(tmp_path: Path) -> None:
    (tmp_path / "products.yaml").write_text(SHARED, encoding="utf-8")
    reading = regimen(tmp_path, "[product.yaml]")
    (problem,) = reading.problems
    assert (problem.level, problem.message) == (ERROR, "There is no file `product.yaml`.")
    assert problem.suggestion == "Did you mean `products.yaml`?"
    assert problem.place is not None
    assert problem.place.pointer == "/use/0"


def test_mistakes_in_a_shared_file_stand_there(tmp_path: Path) -> None:
    (tmp_path / "shared.yaml").write_text(SHARED + "  oil: {ph: wet}\n", encoding="utf-8")
    (problem,) = regimen(tmp_path, "[shared.yaml]").problems
    assert problem.place is not None
    assert (problem.place.path, problem.place.pointer) == ("week/shared.yaml", "/products/oil/ph")


def test_a_products_own_declaration_counts(tmp_path: Path) -> None:
    (tmp_path / "shared.yaml").write_text(SHARED, encoding="utf-8")
    reading = regimen(tmp_path, "[shared.yaml]", more="products: {wash: {kind: toner}}\n")
    (problem,) = reading.problems
    assert problem.level == HINT
    assert reading.regimens[0].products["wash"].kinds[0].name == "toner"


def test_no_hint_for_shared_products_that_one_regimen_leaves_out(tmp_path: Path) -> None:
    (tmp_path / "shared.yaml").write_text(SHARED + "  oil: {base: oil}\n", encoding="utf-8")
    assert regimen(tmp_path, "[shared.yaml]").problems == ()


def test_used_files_may_be_json_and_toml(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_text('{"products": {"wash": {"kind": "cleanser"}}}', encoding="utf-8")
    (tmp_path / "b.toml").write_text('[products.oil]\nbase = "oil"\n', encoding="utf-8")
    reading = regimen(tmp_path, "[a.json, b.toml]")
    assert reading.problems == ()
    assert sorted(reading.regimens[0].products) == ["oil", "wash"]
