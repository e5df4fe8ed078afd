"""Products that several regimens share: the files named under ``use``."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from dermalint.regimen.files import read_tree
from dermalint.regimen.model import Problem, Product
from dermalint.regimen.notes import Notes, excerpt
from dermalint.regimen.products import read_products
from dermalint.regimen.shapes import group_of, one_or_several
from dermalint.regimen.tree import Node
from dermalint.regimen.values import read_text
from dermalint.spans import SourceText

_EXAMPLE = "use: [products.yaml]"


@dataclass(slots=True)
class Shelf:
    """Finds and reads the files a regimen uses; each is read once.

    ``path`` is the regimen's file and ``shown`` what it is called in messages; ``root`` is the folder that no used file
    lies above (None: the enclosing project's).
    """

    notes: Notes
    path: Path
    shown: str
    root: Path | None
    sources: dict[str, SourceText] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    _read: dict[Path, dict[str, Product] | None] = field(default_factory=dict)

    def products(self, node: Node) -> tuple[dict[str, Product], bool]:
        """The products of all files of a ``use`` list, the first of each name, and whether all files could be read."""
        found: dict[str, Product] = {}
        complete = True
        for item in one_or_several(node):
            name = read_text(self.notes, item, "`use`", _EXAMPLE)
            products = None if name is None else self._of_file(item, name)
            complete = complete and products is not None
            for key, product in (products or {}).items():
                other = found.setdefault(key, product)
                if other is not product:
                    self.notes.hint(
                        item,
                        f"`{excerpt(key)}` stands in {other.place.path} and in {product.place.path}; the first one counts.",
                        "Give one of them another name.",
                    )
        return found, complete

    def _of_file(self, item: Node, name: str) -> dict[str, Product] | None:
        written = PurePosixPath(name)
        if "\\" in name or written.is_absolute() or ":" in name:
            self.notes.error(
                item,
                f"`{excerpt(name)}` is no path relative to this file.",
                f"Write it with `/`, from this file's folder: `{_EXAMPLE}`.",
            )
            return None
        try:
            folder = self.path.resolve().parent
            file = (folder / name).resolve()
            root = (self.root or project_folder(folder)).resolve()
            same = file == self.path.resolve()
            there = file.is_file()
        except (OSError, RuntimeError, ValueError):
            self.notes.error(item, f"`{excerpt(name)}` leads nowhere.", f"Write it like `{_EXAMPLE}`.")
            return None
        if not file.is_relative_to(root):
            self.notes.error(
                item, f"`{excerpt(name)}` lies outside the project.", "Move the shared products into the project's folder."
            )
            return None
        if same:
            self.notes.error(item, "This file uses itself.", "Name the file that holds the shared products.")
            return None
        if not there:
            near = _near(file)
            self.notes.error(
                item,
                f"There is no file `{excerpt(name)}`.",
                f"Did you mean `{(written.parent / near).as_posix()}`?" if near else "The path counts from this file's folder.",
            )
            return None
        if file not in self._read:
            self._read[file] = self._declarations(item, file, name)
        return self._read[file]

    def _declarations(self, item: Node, file: Path, name: str) -> dict[str, Product] | None:
        shown = _shown(self.shown, name)
        notes = Notes(shown)
        source, root = read_tree(notes, file, shown)
        products: dict[str, Product] | None = None
        if root is not None:
            group = group_of(notes, root, "A file of shared products", ("products",), "products: {foam-wash: {kind: cleanser}}")
            if group is not None:
                node = group.value("products")
                if node is None:
                    self.notes.error(item, f"`{excerpt(name)}` declares no products.", "Put them there under `products:`.")
                else:
                    products = read_products(notes, node)
        if source is not None:
            self.sources[shown] = source
            self.problems.extend(notes.problems)
        else:
            for problem in notes.problems:
                self.notes.error(item, f"`{excerpt(name)}`: {problem.message}", problem.suggestion or "")
        return products


def _shown(shown: str, name: str) -> str:
    """What a used file is called in messages: the regimen's folder as the user wrote it, and the path from there."""
    parts: list[str] = []
    for part in (PurePosixPath(shown).parent / name).parts:
        if part == ".." and parts and parts[-1] not in ("..", "/"):
            parts.pop()
        elif part != ".":
            parts.append(part)
    return PurePosixPath(*parts).as_posix()


def project_folder(folder: Path) -> Path:
    """The folder of the enclosing git repository; without one, the folder itself."""
    for candidate in (folder, *folder.parents):
        if (candidate / ".git").exists():
            return candidate
    return folder


def _near(file: Path) -> str | None:
    from difflib import get_close_matches

    try:
        names = sorted(entry.name for entry in file.parent.iterdir() if entry.is_file())
    except OSError:
        return None
    found = get_close_matches(file.name, names, n=1, cutoff=0.7)
    return found[0] if found else None
