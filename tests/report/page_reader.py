"""Reads a page of HTML for the tests."""

from __future__ import annotations

from html.parser import HTMLParser

VOID = {"meta", "input", "br", "hr", "link"}


class Reader(HTMLParser):
    """A page's elements in order, each with its attributes, its texts, and whether everything closes as it opened."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.within: list[str] = []
        self.other: list[str] = []
        self.feed(page)
        self.close()
        assert self.within == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        assert len(dict(attrs)) == len(attrs)
        if tag not in VOID:
            self.within.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.within.pop() == tag

    def handle_data(self, data: str) -> None:
        if not {"script", "style"} & set(self.within):
            self.text.append(data)

    def handle_comment(self, data: str) -> None:
        self.other.append(data)

    def handle_pi(self, data: str) -> None:
        self.other.append(data)

    def unknown_decl(self, data: str) -> None:
        self.other.append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]

    def classed(self, name: str) -> list[dict[str, str | None]]:
        return [attributes for _, attributes in self.elements if name in (attributes.get("class") or "").split()]

    @property
    def said(self) -> str:
        return " ".join(" ".join(self.text).split())
