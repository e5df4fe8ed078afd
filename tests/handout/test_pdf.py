"""The PDF: tagged, with its fonts in it, on the paper that was asked for."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from dermalint.handout.language import Language
from dermalint.handout.making import make
from dermalint.handout.page import print_size, write_page
from dermalint.handout.pdf import write_pdf
from dermalint.handout.telling import tell


def test_a_tagged_pdf_with_its_fonts(demo) -> None:  # type: ignore[no-untyped-def]
    data = make(demo.plan("first-retinol.regimen.yaml"), "pdf", "nl")
    assert isinstance(data, bytes)
    reader = PdfReader(BytesIO(data))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "nl"
    assert len(reader.pages) <= 2
    assert [round(float(side)) for side in reader.pages[0].mediabox[2:]] == [595, 842]
    assert reader.metadata is not None
    assert reader.metadata.title == "First retinol, over three months"
    fonts = [
        font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"]
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    ]
    assert fonts
    assert all({"/FontFile2", "/FontFile3", "/FontFile"} & set(font) for font in fonts)
    assert all("/Annots" not in page for page in reader.pages)


def test_nothing_is_fetched_for_it() -> None:
    written = write_pdf(
        "<title>t</title><p>a<img src='file:///etc/hostname' alt='x'><link rel=stylesheet href='http://127.0.0.1:9/x'>"
    )
    assert b"/Image" not in written


@pytest.mark.parametrize(("paper", "size"), [("letter", [612, 792])])
def test_large_print_on_letter(demo, paper: str, size: list[int]) -> None:  # type: ignore[no-untyped-def]
    data = make(demo.plan("pregnancy.regimen.yaml"), "pdf", paper=paper, large=True)
    assert isinstance(data, bytes)
    page = PdfReader(BytesIO(data)).pages[0]
    assert [round(float(side)) for side in page.mediabox[2:]] == size


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_longest_of_the_examples_is_two_pages(demo, paper: str) -> None:  # type: ignore[no-untyped-def]
    plan = demo.plan("five-nights.regimen.toml")
    data = make(plan, "pdf", "de", paper=paper)
    assert isinstance(data, bytes)
    assert len(PdfReader(BytesIO(data)).pages) == 2


def test_letters_are_as_large_as_two_pages_allow(demo) -> None:  # type: ignore[no-untyped-def]
    short = tell(demo.plan("pregnancy.regimen.yaml"), Language("en"))
    long = tell(demo.plan("faults-of-every-kind.regimen.yaml"), Language("en"))
    assert print_size(short) == 11
    assert print_size(long) == 8.5
    assert "--size: 11pt" in write_page(short)
    assert "--size: 16pt" in write_page(short, large=True)
