"""What must hold of every mended file, and an exhaustive search that looks for a smaller mend."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from itertools import combinations, islice, permutations, product
from pathlib import Path

import dermalint_grammar
from dermalint.checks.judge import Bench
from dermalint.mend.changes import applies, days_of, put_in, slots_of, step_of, take_out, used_on
from dermalint.mend.document import Document, read_document
from dermalint.mend.judging import Judges, Key, Verdict, keyed, mends, news, planned
from dermalint.mend.mender import search
from dermalint.mend.plan import Plan, applications, plan_of, tidy
from dermalint.mend.splices import apply_edits
from dermalint.mend.whole import Outcome, mend_document
from dermalint.packs.link import link_files
from dermalint.packs.model import GIVEN, PackFile
from dermalint.regimen.model import Regimen
from dermalint.review import Asked, Desk
from dermalint_grammar.record import replace

AS_OF = date(2026, 3, 2)
RULES = Path(__file__).with_name("mend.rules")
VOCABULARY = Path(dermalint_grammar.__file__).with_name("corpus") / "vocabulary.rules"


def trial_judges() -> Judges:
    """The engine with the trial rules alone."""
    files = [(PackFile(str(path), path.name, GIVEN), path.read_bytes()) for path in (VOCABULARY, RULES)]
    packs = link_files(files)
    assert not packs.problems, [problem.message for problem in packs.problems]
    asked = Asked(as_of=AS_OF, cache=False)
    return Judges(Desk(Bench(packs.world, packs.rules), asked, frozenset(linked.id for linked in packs.rules)))


@dataclass
class Tally:
    """Figures of many mended files."""

    files: int = 0
    unsound: int = 0
    findings: int = 0
    mendable: int = 0
    changes: int = 0
    left: int = 0
    lost: int = 0  # findings that had a proposal and are left, as no series of changes was found that mends another one, too
    tied: Counter[str] = field(default_factory=Counter)  # the rules of those that are lost
    refused: Counter[str] = field(default_factory=Counter)

    def tell(self) -> str:
        """The figures in a line."""
        return (
            f"{self.files:,} files ({self.unsound} not sound), {self.findings:,} findings, {self.mendable:,} with a proposal, "
            f"{self.changes:,} changes, {self.left:,} left without one, {self.lost} of them because of another's mend"
        )

    def add(self, other: Tally) -> None:
        """Take the figures of another tally in."""
        for name in ("files", "unsound", "findings", "mendable", "changes", "left", "lost"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.tied.update(other.tied)
        self.refused.update(other.refused)


def check_file(judges: Judges, document: Document, tally: Tally) -> Outcome | None:
    """Mend a document and make sure of all that is promised.  Raises AssertionError where something does not hold."""
    tally.files += 1
    if not document.sound:
        tally.unsound += 1
        return None
    before = judges.verdict(document.reading)
    found = {key: search(judges, document, before, key, 1) for key, _ in keyed(before.results)}
    had = {key for key, one in found.items() if one.proven}
    for one in found.values():
        tally.refused.update(reason.partition("That cannot be written: ")[2] for reason in one.refused)
    outcome = mend_document(judges, document, enough=1)
    after = judges.verdict(read_document(document.path, document.shown, outcome.result.data).reading)
    assert not news(before, after), "a finding is new"
    assert after.problems <= before.problems, "a problem is new"
    tally.findings += len(before.found)
    tally.mendable += len(had)
    tally.changes += len(outcome.changes)
    tally.left += len(after.found)
    tally.lost += len(had & set(after.found))
    tally.tied.update(found[key].finding.rule for key in had & set(after.found))
    check_texts(outcome)
    check_untouched(document, outcome)
    again = mend_document(judges, outcome.result, enough=1)
    judges.kept.clear()
    assert not again.changes, f"a second mend changes something: {again.changes[0].chosen.mend.say}"
    return outcome


def check_texts(outcome: Outcome) -> None:
    """Every change is exactly its edits, and all other bytes stay."""
    data = outcome.document.data
    for change in outcome.changes:
        edits = sorted(change.chosen.mend.edits, key=lambda edit: (edit.start, edit.end))
        assert change.before.data == data
        assert apply_edits(data, edits) == change.chosen.document.data
        kept = [
            (at, until) for at, until in zip([0, *(e.end for e in edits)], [*(e.start for e in edits), len(data)], strict=True)
        ]
        new, at = change.chosen.document.data, 0
        for number, (start, end) in enumerate(kept):
            assert new[at : at + end - start] == data[start:end], "a byte outside the edits changed"
            at += end - start + (len(edits[number].text.encode()) if number < len(edits) else 0)
        data = new
    assert data == outcome.result.data


def check_untouched(document: Document, outcome: Outcome) -> None:
    """No product is gone or changed, nothing prescribed moves, waivers and persons stay."""
    for old, new in zip(document.reading.regimens, outcome.result.reading.regimens, strict=True):
        one, other = plan_of(old), plan_of(new)
        days = tuple(a * b for a, b in zip(one.cycles, other.cycles, strict=True))
        before, after = applications(one, days), applications(other, days)
        names = {name for _, _, _, name in before}
        assert names <= {name for _, _, _, name in after}, "a product is not used any more"
        assert list(old.products) == list(new.products), "a product is gone"
        for key, declared in old.products.items():
            if declared.prescribed:
                mine = ({k: v for k, v in uses.items() if k[3] == key} for uses in (before, after))
                assert next(mine) == next(mine), "something prescribed was moved"
        assert len(old.waivers) == len(new.waivers)


# --- an exhaustive search for a smaller mend of one finding


def smaller(judges: Judges, document: Document, before: Verdict, key: Key, gone: int, most: int) -> str | None:
    """A mend that moves fewer applications than ``gone``, if there is one; at most ``most`` states are looked at.

    Every set of fewer applications is moved to every other slot and day (but to none that has the product already), or left
    out, and every routine that is touched (every routine, where none moves) is tried in every order.
    """
    regimen = document.reading.regimens[0]
    plan = plan_of(regimen)
    finding = before.finding(key)
    assert finding is not None
    if sum(1 for _ in islice(_states(plan, regimen, gone), most + 1)) > most:
        raise TooMany
    for number, state in _states(plan, regimen, gone):
        changed = tidy(state)
        if key in judges.own(document, plan, changed, key[0], finding.rule).found:
            continue  # what its own rule still finds, all rules do
        if mends(before, judges.verdict(planned(document, plan, changed)), key):
            return f"{number} moved instead of {gone}"
    return None


def _states(plan: Plan, regimen: Regimen, gone: int) -> Iterator[tuple[int, Plan]]:
    """Every plan that moves fewer applications, with how many it moves."""
    for number in range(gone):
        for changed in _moved(plan, regimen, number):
            for ordered in _orders(plan, changed, regimen):
                yield number, ordered


class TooMany(Exception):
    """The plan is too large to be searched."""


def _moved(plan: Plan, regimen: Regimen, number: int) -> Iterator[Plan]:
    """The plan with so many applications elsewhere or nowhere."""
    movable = [
        (name, 0, slot, day)
        for name, declared in regimen.products.items()
        if not declared.prescribed
        for slot in slots_of(plan, name, 0)
        for day in sorted(days_of(plan, name, 0, slot))
    ]
    targets = [None, *product(("morning", "evening"), range(1, plan.cycles[0] + 1))]
    for chosen in combinations(movable, number):
        for places in product(targets, repeat=number):
            changed = plan
            for (name, phase, slot, day), place in zip(chosen, places, strict=True):
                found = step_of(plan, name, phase)
                assert found is not None
                changed = take_out(changed, name, phase, slot, {day})
                if place is None:
                    continue
                if place[1] in used_on(changed, name, phase) or place == (slot, day):
                    break
                changed = put_in(changed, phase, place[0], {place[1]}, *found)
            else:
                if all(any(applies(step, name) for row in tidy(changed).rows for step in row.steps) for name, *_ in chosen):
                    yield changed


def _orders(plan: Plan, changed: Plan, regimen: Regimen) -> Iterator[Plan]:
    """The plan with every touched row in every order (every row, where none is touched); what is prescribed keeps its place."""
    changed = tidy(changed)
    rows = [number for number, row in enumerate(changed.rows) if row not in plan.rows or changed == plan]
    choices = []
    for number in rows:
        steps = changed.rows[number].steps
        fixed = any(regimen.products[one.name].prescribed for step in steps for one in getattr(step, "products", ()))
        choices.append([steps] if fixed else list(permutations(steps)))
    for orders in product(*choices):
        new = list(changed.rows)
        for number, steps in zip(rows, orders, strict=True):
            new[number] = replace(new[number], steps=tuple(steps))
        yield replace(changed, rows=tuple(new))
