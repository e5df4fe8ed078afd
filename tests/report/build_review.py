"""Reviews built by hand: what the engine would hand to a report, without the engine.

Products and people are invented; the findings are examples of form, not of judgement.
"""

from __future__ import annotations

from typing import Any

from dermalint.regimen.model import ERROR, HINT, Problem
from dermalint.spans import Place, SourceText
from dermalint.verdict.findings import (
    CERTAIN,
    POSSIBLE,
    Edit,
    Finding,
    Match,
    Measured,
    Mend,
    Occurrence,
    Related,
    Waived,
)
from dermalint.verdict.report_model import FileResult, PackName, Review
from dermalint_grammar.record import replace

CALM = """\
regimen: Calm evenings, month one
region: eu
products:
  foam-wash: {kind: cleanser, contact: rinsed}
  lactic-lotion: {kind: serum, base: water, contains: {lactic-acid: 8 %}}
  night-cream: {kind: moisturiser, contains: {retinol: 0.3 %}}
  day-fluid: {kind: sunscreen, spf: 50}
routines:
  - slot: morning
    steps: [foam-wash, day-fluid]
  - slot: evening
    days: [monday, thursday]
    steps:
      - foam-wash
      - wait: 20 min
      - night-cream
      - lactic-lotion
"""


def place(text: str, words: str, nth: int = 1, pointer: str = "", path: str | None = None) -> Place:
    """Where the ``nth`` occurrence of some words stands in a text."""
    start = -1
    for _ in range(nth):
        start = text.index(words, start + 1)
    return Place(start, start + len(words), pointer, path)


def weekly(*days: tuple[int, str], slot: str | None = "evening", phase: int = 1) -> tuple[Occurrence, ...]:
    return tuple(Occurrence(phase, number, weekday, slot, 7) for number, weekday in days)


def finding(where: Place, **changes: Any) -> Finding:
    """A certain caution about an acid and a retinoid, changed as asked."""
    usual = Finding(
        rule="acids.acid-off-retinoid-nights",
        severity="caution",
        topic="separation",
        certainty=CERTAIN,
        unknown=(),
        message="lactic-lotion and night-cream are in one routine, 0 min apart; the rule wants them in different routines.",
        why="Two irritant actives in one routine add up: more stinging, peeling and barrier damage.",
        advise="Use the acid on an evening without the retinoid.",
        sources=("Dermatology teaching; no published interval. (common practice)",),
        disputed=None,
        products=("lactic-lotion", "night-cream"),
        where=where,
        related=(),
        occurs=weekly((1, "monday"), (4, "thursday")),
        matched=(),
        measured=None,
        mends=(),
        id="a1b2c3d4",
        group="g1",
    )
    return replace(usual, **changes)


def file_result(text: str = CALM, path: str = "calm.regimen.yaml", **changes: Any) -> FileResult:
    usual = FileResult(
        path=path,
        regimen="Calm evenings, month one",
        person=None,
        region="eu",
        stance="usual",
        problems=(),
        findings=(),
        sources={path: SourceText(path, text)},
    )
    return replace(usual, **changes)


def review(*files: FileResult, **changes: Any) -> Review:
    usual = Review(
        version="0.1.0",
        packs=(PackName("acids", "1.0.0"), PackName("core", "1.0.0"), PackName("retinoids", "1.1.0")),
        region="eu",
        stance="usual",
        as_of="2026-03-02",
        problems=(),
        files=files,
    )
    return replace(usual, **changes)


def calm() -> FileResult:
    """One finding with everything in it, and a second one of the same cause."""
    acid = place(CALM, "lactic-lotion", 2, "/routines/1/steps/3")
    cream = place(CALM, "night-cream", 2, "/routines/1/steps/2")
    full = finding(
        acid,
        related=(Related(cream, "the retinoid"),),
        matched=(
            Match("lactic-lotion", "strong-acid", "lactic-acid 8 %"),
            Match("night-cream", "retinoid", "retinol 0.3 %"),
        ),
        measured=Measured("gap", 0, "min", "another routine"),
        disputed="Some sources allow a low-strength acid with an established retinoid.",
        mends=(Mend("Move lactic-lotion to Tuesday evening.", (Edit(430, 450, ""),)),),
    )
    second = finding(
        acid,
        rule="order.thin-before-thick",
        severity="advice",
        topic="order",
        message="lactic-lotion comes after night-cream; what is thin goes on before what is thick.",
        why="A cream leaves a film that a watery product does not pass well.",
        advise="Put lactic-lotion before night-cream.",
        related=(Related(cream, "the retinoid"),),
        id="b1",
    )
    return file_result(findings=(second, full))


STUDIO = """\
regimen: Larkspur Row, second course
starts: 2026-03-02
people:
  Ana:
    person: {traits: [pregnant]}
    routines:
      - {slot: evening, steps: [toner-x, night-cream]}
  Bo:
    routines:
      - {slot: morning, steps: [peel-pad]}
      - {slot: evening, dates: [2026-03-14], steps: [night-creme]}
"""
SHARED = """\
products:
  toner-x: {kind: toner, ingredients: "Aqua, Glycolic Acid, Propanediol, Glycerin, Betaine, Panthenol, Citric Acid"}
  night-cream: {kind: moisturiser, contains: {retinol: 0.3 %}}
  peel-pad: {kind: peel, contains: {glycolic-acid: 12 %}}
"""


def studio() -> tuple[FileResult, FileResult]:
    """A file with two people and a shared file of products: possible, waived and suspended findings, problems."""
    path, shared = "course/two.regimen.yaml", "course/products.yaml"
    sources = {path: SourceText(path, STUDIO), shared: SourceText(shared, SHARED)}
    daily = tuple(Occurrence(1, day, name, "evening", 7) for day, name in enumerate(WEEK, 1))
    ana = finding(
        place(STUDIO, "night-cream", pointer="/people/Ana/routines/0/steps/1"),
        rule="retinoids.not-in-pregnancy",
        severity="avoid",
        topic="person",
        message="night-cream has a retinoid, and the person is pregnant.",
        why="Retinoids by mouth harm the unborn child; for those on the skin, sources advise against use as a precaution.",
        advise="Leave it out, and ask the prescriber or a midwife about what was prescribed.",
        sources=("An agency's public statement on retinoids, section 2, June 2018 (text read)", "Class handout (from memory)"),
        disputed="Some reviews find no harm from small amounts on the skin.",
        products=("night-cream",),
        occurs=daily,
        matched=(Match("night-cream", "retinoid", "retinol 0.3 %"),),
        group="ana-1",
    )
    possible = finding(
        place(STUDIO, "toner-x", pointer="/people/Ana/routines/0/steps/0"),
        certainty=POSSIBLE,
        unknown=("the strength of glycolic-acid in toner-x", "the pH of toner-x"),
        message="toner-x may be a strong acid in one routine with night-cream.",
        products=("toner-x", "night-cream"),
        related=(Related(place(SHARED, "Glycolic Acid", path=shared), "an acid, strength not stated"),),
        occurs=daily,
        group="ana-2",
    )
    waived = finding(
        place(STUDIO, "toner-x"),
        rule="sun.sunscreen-after-acid",
        products=("toner-x",),
        group="ana-3",
        waived=Waived("Prescriber's written plan", "prescriber", "2026-09-30"),
    )
    suspended = finding(
        place(STUDIO, "toner-x"),
        rule="acids.daily-acid",
        products=("toner-x",),
        group="ana-4",
        suspended_by="acids.weak-toners",
    )
    bo = finding(
        place(STUDIO, "peel-pad"),
        rule="acids.peel-rest-days",
        topic="frequency",
        severity="caution",
        message="peel-pad comes back after 9 h 30 min; 48 h are needed.",
        products=("peel-pad",),
        occurs=(Occurrence(1, 3, None, "morning", 4), Occurrence(2, 1, None, "morning", None)),
        measured=Measured("gap", 570, "min", "48 h"),
        group="bo-1",
    )
    unknown_name = Problem(
        ERROR,
        "The product night-creme is not declared.",
        "Did you mean night-cream?",
        place(STUDIO, "night-creme"),
    )
    hint = Problem(HINT, "peel-pad is declared for all but used by Bo alone.", None, place(SHARED, "peel-pad", path=shared))
    common = {"regimen": "Larkspur Row, second course", "sources": sources, "path": path}
    return (
        file_result(**common, person="Ana", findings=(ana, possible, waived, suspended)),
        file_result(**common, person="Bo", findings=(bo,), problems=(hint, unknown_name)),
    )


WEEK = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

WIDE = """\
regimen: 夜のケア
routines:
  - slot: evening
    steps:
\t- {product: 夜用クリーム, areas: [face]} # 夜
      - {product: cre\u0301me-légère, areas: [face]}\t# e + accent
"""


def wide() -> FileResult:
    """Tabs, wide characters and combining accents before and under the marks."""
    return file_result(
        WIDE,
        "wide.regimen.yaml",
        regimen="夜のケア",
        findings=(
            finding(
                place(WIDE, "夜用クリーム"),
                message="夜用クリーム and créme-légère are in one routine.",
                products=("夜用クリーム",),
                related=(
                    Related(place(WIDE, "cre\u0301me-légère"), "軽いクリーム"),
                    Related(place(WIDE, "# e + accent"), ""),
                ),
                occurs=(Occurrence(1, 1, None, "evening", 1),),
                matched=(Match("夜用クリーム", "retinoid", "retinol 0.3 %"),),
            ),
        ),
    )


def unreadable() -> FileResult:
    """A file whose bytes are no text at all."""
    return FileResult(
        path="broken.regimen.yaml",
        regimen=None,
        person=None,
        region=None,
        stance="usual",
        problems=(Problem(ERROR, "This file is not UTF-8 text.", "Save it as UTF-8 in your editor.", Place(0, 0, "")),),
        findings=(),
        sources={},
        readable=False,
    )


def bad_pack() -> Problem:
    return Problem(
        ERROR,
        "The pack house-rules names a family that nobody declares: retinod.",
        "Did you mean retinoid?",
        Place(120, 127, "", "house/house-rules.rules"),
        pack="house-rules",
    )
