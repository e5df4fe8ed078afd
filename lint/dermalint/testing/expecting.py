"""Assertions for tests of packs: what a regimen must, and must not, be found to do.

    from dermalint.testing.expecting import expect_finding, expect_no_finding

    def test_every_evening_is_too_often():
        finding = expect_finding(EVENINGS, "larkspur-house.evenings-of-rest", products=["night-serum"])
        assert "7 evenings" in finding.message

A regimen is the text of a YAML file, or the path of any file that ``dermalint review`` reads.  Where an assertion fails, its
message says what was found instead.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from dermalint.regimen.model import ERROR, Problem
from dermalint.review import Asked, review_paths
from dermalint.verdict.findings import Finding
from dermalint.verdict.report_model import Review

AS_OF = date(2026, 3, 2)
"""The day as of which tests judge where they say none, so that they say the same on every day; a Monday."""


def find_findings(
    regimen: str | Path,
    *,
    packs: Sequence[Path] = (),
    stance: str | None = None,
    region: str | None = None,
    as_of: date = AS_OF,
) -> tuple[Finding, ...]:
    """All findings in force (neither waived nor suspended), by the installed packs and the files or folders ``packs``.

    Raises AssertionError where something hinders a true answer: a mistake in the regimen or in a pack, a plugin at fault.
    """
    if isinstance(regimen, Path):
        return _findings(_review(regimen, packs, stance, region, as_of))
    with TemporaryDirectory() as folder:
        path = Path(folder, "text.regimen.yaml")
        path.write_text(regimen, encoding="utf-8")
        return _findings(_review(path, packs, stance, region, as_of))


def expect_finding(
    regimen: str | Path,
    rule: str,
    *,
    products: Collection[str] | None = None,
    severity: str | None = None,
    certainty: str | None = None,
    packs: Sequence[Path] = (),
    stance: str | None = None,
    region: str | None = None,
    as_of: date = AS_OF,
) -> Finding:
    """The finding of ``rule`` (``pack.rule``) with exactly these products, this severity and certainty; None: any.

    Gives the first where several fit.  Raises AssertionError where none does.
    """
    found = find_findings(regimen, packs=packs, stance=stance, region=region, as_of=as_of)
    for finding in found:
        if (
            finding.rule == rule
            and (products is None or set(finding.products) == set(products))
            and severity in (None, finding.severity)
            and certainty in (None, finding.certainty)
        ):
            return finding
    wanted = [severity or "", certainty or "", f"of {', '.join(sorted(products))}" if products else ""]
    raise AssertionError(f"{rule} was to find something {' '.join(filter(None, wanted))}".rstrip() + f". {_told(found)}")


def expect_no_finding(
    regimen: str | Path,
    *rules: str,
    packs: Sequence[Path] = (),
    stance: str | None = None,
    region: str | None = None,
    as_of: date = AS_OF,
) -> None:
    """Raise AssertionError where one of these rules or packs finds something; without any, where any rule does."""
    found = find_findings(regimen, packs=packs, stance=stance, region=region, as_of=as_of)
    unwanted = tuple(
        finding for finding in found if not rules or finding.rule in rules or finding.rule.partition(".")[0] in rules
    )
    if unwanted:
        raise AssertionError(f"{' and '.join(rules) or 'Every rule'} was to find nothing. {_told(unwanted)}")


def _review(path: Path, packs: Sequence[Path], stance: str | None, region: str | None, as_of: date) -> Review:
    asked = Asked(packs=tuple(packs), stance=stance, region=region, as_of=as_of, cache=False)
    return review_paths([str(path)], asked)


def _findings(review: Review) -> tuple[Finding, ...]:
    problems = [*review.problems, *(problem for file in review.files for problem in file.problems)]
    mistakes = [problem for problem in problems if problem.level == ERROR]
    if mistakes or not review.files:
        raise AssertionError("\n".join(map(tell_problem, mistakes)) or "There is no regimen in it.")
    return tuple(
        finding for file in review.files for finding in file.findings if finding.waived is None and finding.suspended_by is None
    )


def tell_problem(problem: Problem) -> str:
    """A problem in one line, with what to do."""
    return f"{problem.message} {problem.suggestion or ''}".rstrip()


def _told(findings: Sequence[Finding]) -> str:
    if not findings:
        return "Nothing was found."
    lines = [
        f"  {finding.rule} ({finding.severity}, {finding.certainty}; {', '.join(finding.products) or 'no product'}): "
        f"{finding.message}"
        for finding in findings
    ]
    return "\n".join(["Found:", *lines])
