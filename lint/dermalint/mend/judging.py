"""Whether a change mends a finding: what the engine finds before and after."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from dermalint.checks.judge import Bench
from dermalint.mend.document import Document, read_document
from dermalint.mend.plan import Plan, regimen_of
from dermalint.mend.splices import Refused, Splice, apply_edits, as_edits, spliced
from dermalint.packs.model import LinkedRule
from dermalint.regimen.model import ERROR, Reading, Regimen
from dermalint.review import Desk, review_reading
from dermalint.spans import Place
from dermalint.verdict.findings import Finding
from dermalint.verdict.report_model import FileResult
from dermalint_grammar import nodes
from dermalint_grammar.record import Record, fields_of, replace

Key = tuple[str, str]
"""A finding across changes of its file: the person's name and the finding's stable id."""


class Verdict(Record):
    """What the engine says of one state of a file."""

    results: tuple[FileResult, ...]
    found: Mapping[Key, tuple[Fraction, int]]
    problems: frozenset[str]

    def finding(self, key: Key) -> Finding | None:
        """The finding of a key."""
        return next((finding for found, finding in keyed(self.results) if found == key), None)


def keyed(results: tuple[FileResult, ...]) -> Iterator[tuple[Key, Finding]]:
    """The findings in force (neither waived nor suspended) with their keys, in the order of the report."""
    for result in results:
        for finding in result.findings:
            if finding.waived is None and finding.suspended_by is None:
                yield (result.person or "", finding.id), finding


class Judges:
    """The engine, asked about changed regimens; ``asked`` counts how often."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.rules: dict[str, LinkedRule] = {linked.id: linked for linked in desk.bench.rules}
        self.asked = 0
        self.areas = desk.bench.world.areas
        self.kept: dict[object, object] = {}  # what was searched for, until a new file is begun
        self._few: dict[tuple[str, ...], Desk] = {}

    def own(self, document: Document, before: Plan, after: Plan, person: str, rule: str) -> Verdict:
        """What one rule says of one person's regimen under a changed plan of the document, asked once for each plan."""
        asked = document.data, person, rule, after
        kept = self.kept.get(asked)
        if not isinstance(kept, Verdict):
            kept = self.kept[asked] = self.in_part(planned(document, before, after), person, (rule,))
        return kept

    def knows(self, document: Document, after: Plan, person: str, rule: str) -> bool:
        """Whether :meth:`own` has been asked this before."""
        return (document.data, person, rule, after) in self.kept

    def is_about_order(self, finding: Finding) -> bool:
        """Whether a finding is about what stands where in a routine."""
        requirement = self.rules[finding.rule].rule.requirement
        return isinstance(requirement, nodes.ApplyChain | nodes.ApplyEdge | nodes.ApplyDirectly | nodes.Wait)

    def verdict(self, reading: Reading) -> Verdict:
        """What all rules say of what was read."""
        self.asked += 1
        return _verdict(tuple(review_reading(reading, self.desk)))

    def in_part(self, reading: Reading, person: str, rules: tuple[str, ...]) -> Verdict:
        """What a few rules say of one person's regimen: cheaper, where many changes are to be ruled out."""
        desk = self._few.get(rules)
        if desk is None:
            bench = self.desk.bench
            few = Bench(bench.world, tuple(self.rules[name] for name in rules), bench.plugins)
            desk = self._few[rules] = Desk(few, self.desk.asked, self.desk.known_rules)
        own = tuple(regimen for regimen in reading.regimens if (regimen.person_name or "") == person)
        return _verdict(tuple(review_reading(replace(reading, regimens=own), desk)))


def _verdict(results: tuple[FileResult, ...]) -> Verdict:
    found: dict[Key, tuple[Fraction, int]] = {}
    for key, finding in keyed(results):
        steady = sum((Fraction(1, occurs.repeats) for occurs in finding.occurs if occurs.repeats), Fraction())
        once = sum(1 for occurs in finding.occurs if not occurs.repeats)
        found[key] = (steady, once)
    problems = frozenset(problem.message for result in results for problem in result.problems)
    return Verdict(results, found, problems)


def news(before: Verdict, after: Verdict) -> list[Key]:
    """The findings that a change adds, or makes more frequent."""
    return [
        key
        for key, (steady, once) in after.found.items()
        if key not in before.found or _more((steady, once), before.found[key])
    ]


def _more(after: tuple[Fraction, int], before: tuple[Fraction, int]) -> bool:
    """Whether a finding became more frequent; what happened again and again and now happens once became rarer."""
    return after[0] > before[0] or (after[0] == before[0] and after[1] > before[1])


def as_at_first(first: Verdict, now: Verdict) -> Verdict:
    """What is said of a changed document, each finding as frequent as it was before the first change.

    Measured by it a further change may make a finding as frequent again as the file had it, and no more; none comes back.
    """
    found = {key: max(often, first.found.get(key, often)) for key, often in now.found.items()}
    return replace(now, found=found)


def mends(before: Verdict, after: Verdict, key: Key) -> bool:
    """Whether a change takes a finding away and adds nothing, no mistake and no hint either."""
    return key not in after.found and not news(before, after) and after.problems <= before.problems


def planned(document: Document, before: Plan, after: Plan) -> Reading:
    """What would be read of the document if it followed a changed plan."""
    reading = document.reading
    return replace(reading, regimens=tuple(regimen_of(after, before, regimen) for regimen in reading.regimens))


def edited(document: Document, splices: tuple[Splice, ...]) -> Document:
    """The document with splices made, read again.  Raises :class:`Refused` where two of them meet."""
    spliced(document.source.text, splices)  # refuses splices that meet
    data = apply_edits(document.data, as_edits(document.source, splices))
    return read_document(document.path, document.shown, data)


def check_same(new: Document, meant: Reading) -> None:
    """Make sure that a changed text says what was meant.  Raises :class:`Refused` where it does not."""
    wrong = next((problem.message for problem in new.reading.problems if problem.level == ERROR), None)
    if wrong is not None:
        raise Refused(f"the text could not be read any more ({wrong.rstrip('.')})")
    if [_placeless(regimen) for regimen in new.reading.regimens] != [_placeless(regimen) for regimen in meant.regimens]:
        raise Refused("the text would say something else after the change (an anchor, or an unusual layout)")


def _placeless(value: object) -> object:
    """A model's value without the places it was read from."""
    if isinstance(value, Place):
        return None
    if isinstance(value, Regimen):
        return tuple(_placeless(getattr(value, name)) for name in fields_of(value))
    if isinstance(value, Record):
        return (type(value).__name__, *(_placeless(getattr(value, name)) for name in fields_of(value)))
    if isinstance(value, tuple):
        return tuple(_placeless(item) for item in value)
    if isinstance(value, Mapping):
        return {name: _placeless(item) for name, item in value.items()}
    return value
