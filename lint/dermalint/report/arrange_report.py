"""A plan for people: the week in the order of its routines, why each product stands where it does, and what clashes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dermalint.arrange.arranging import Arranged
from dermalint.arrange.clash import Core, Relaxation
from dermalint.arrange.puzzle import Ban, Clash, Count, Fact, Need, items_of
from dermalint.regimen.days import WEEKDAYS
from dermalint.regimen.model import ApplyStep, Phase, Routine, Step
from dermalint.report.page import Page, tame, wrap
from dermalint.report.text_report import care, ruled
from dermalint_grammar.record import Record

_SLOT_ORDER = ("morning", "midday", "afternoon", "evening")


class Told(Record):
    """What is told of one product in one slot: its days, the wish, and the rules that kept it from others."""

    product: str
    slot: str
    days: tuple[str, ...]
    wish: str
    rules: tuple[tuple[str, str], ...]  # (what it kept apart, the rule's full name)


def plan_text(
    page: Page,
    arranged: Arranged,
    sentences: Mapping[str, str],
    cores: tuple[Core, ...],
    relaxations: tuple[Relaxation, ...],
) -> str:
    """The whole report; ``sentences`` are the rules' own, by full name."""
    lines: list[str] = [page.paint(tame(arranged.desk.wanted.regimen.title), "title"), *ruled(page, summary(arranged))]
    attempt = arranged.attempt
    if attempt.regimen is not None:
        for number, phase in enumerate(attempt.regimen.phases, 1):
            lines += [*_phase(page, phase, number, len(attempt.regimen.phases)), ""]
        lines += [page.paint("Why", "title")]
        for told in reasons(arranged):
            lines += _reason(page, told, {**arranged.desk.wanted.said, **sentences}, attempt.length)
        lines.append("")
    for finding in attempt.refused:
        lines += [*page.note("Refused", finding.message, "caution"), *page.note("rule", finding.rule, body="faint"), ""]
    for core in cores:
        lines += [*_core(page, arranged, core, sentences), ""]
    if relaxations:
        lines += page.note("Would help", relaxations[0].say, "advice", "title")
        lines += [line for other in relaxations[1:] for line in page.note("or", other.say)]
        lines.append("")
    elif cores:
        lines += [*page.note("Would help", "No smaller wish that was tried is enough, and no two together.", "faint"), ""]
    return page.finish([*lines, *(line for line in wrap(outcome(arranged), page.width)), "", *care(page)])


def summary(arranged: Arranged) -> str:
    """One line on what was searched."""
    attempt = arranged.attempt
    days = f"a cycle of {attempt.length} {'day' if attempt.length == 1 else 'days'}"
    lengths = f", of {arranged.tried} lengths tried" if arranged.tried > 1 else ""
    return f"{days}{lengths} · {len(arranged.desk.teacher.bench.rules)} rules in force"


def outcome(arranged: Arranged) -> str:
    """What the plan is worth, in a sentence."""
    attempt = arranged.attempt
    if attempt.regimen is None:
        return "There is no plan: what the file fixes clashes with the rules already."
    if attempt.refused:
        return "No plan was found that the rules accept; the nearest one is above, with what they object to."
    missed = attempt.missed()
    best = "proven to be the best" if attempt.proven else "the best found in the time allowed, not proven to be the best"
    if not missed:
        return f"Every wish is met, no rule objects, and the plan is {best}."
    many = "One wish is" if len(missed) == 1 else f"{len(missed)} wishes are"
    return f"{many} not met, no rule objects, and the plan is {best}."


def reasons(arranged: Arranged) -> list[Told]:
    """Why each product that was not given by the file stands where it does, in the order of the slots and products."""
    attempt, wanted = arranged.attempt, arranged.desk.wanted
    told: list[Told] = []
    if not attempt.plans or attempt.plans[-1] is None:
        return told
    puzzle, plan = attempt.puzzles[-1], attempt.plans[-1]
    for number, item in enumerate(puzzle.items):
        if item.fixed is not None:
            continue
        wishes = [wanted.said[demand.wish] for demand in puzzle.demands if number in demand.items]
        rules: dict[str, str] = {}
        for fact in puzzle.facts:
            if number in items_of(fact):
                said = _fact(arranged, fact, number)
                if said:
                    rules.setdefault(fact.because, said)
        days = tuple(day_name(day, attempt.length) for day in sorted(plan[number]))
        wish = "; ".join(wish.partition(": ")[2] for wish in wishes) or ("a rule asks for it" if plan[number] else "")
        if days or wishes:
            told.append(Told(item.product, item.slot, days, wish, tuple((so, name) for name, so in rules.items())))
    return told


def day_name(day: int, length: int) -> str:
    """A day of a cycle as people call it."""
    return WEEKDAYS[day].capitalize() if length == 7 else f"day {day + 1}"


def _fact(arranged: Arranged, fact: Fact, number: int) -> str:
    items = arranged.desk.wanted.items
    if isinstance(fact, Clash):
        other = items[fact.second if fact.first == number else fact.first]
        if fact.first == fact.second:
            return "its own days lie apart"
        if fact.off == 0 and other.slot == items[number].slot:
            return f"not in one routine with {other.product}"
        return f"kept away from {other.product}"
    if isinstance(fact, Need):
        return (
            f"needs {' or '.join(dict.fromkeys(items[other].product for other in fact.others))}" if fact.item == number else ""
        )
    if isinstance(fact, Count):
        return "no more often"
    if isinstance(fact, Ban):
        return f"never in the {items[number].slot}" if fact.days is None else "not on the days kept free"
    return "the engine refused other days"


def _phase(page: Page, phase: Phase, number: int, phases: int) -> Iterator[str]:
    if phases > 1:
        long = f"for {phase.days} days" if phase.days is not None else "from then on"
        yield page.paint(f"Phase {number}, {long}", "title")
    for routine in sorted(
        phase.routines, key=lambda one: _SLOT_ORDER.index(one.slot.name) if one.slot.name in _SLOT_ORDER else 9
    ):
        steps = ", ".join(_step(step) for step in routine.steps)
        yield from page.note(routine.slot.name, f"{_days(routine)}: {steps}")


def _days(routine: Routine) -> str:
    days = routine.days
    if routine.dates:
        return ", ".join(day.isoformat() for day in routine.dates)
    if days.every:
        return f"every {days.every} days"
    if days.weekdays:
        names = ", ".join(WEEKDAYS[day - 1][:3].capitalize() for day in days.weekdays)
    elif days.numbers:
        names = "day " + ", ".join(map(str, days.numbers))
    else:
        return "every day"
    return f"not {names}" if days.negated else names


def _step(step: Step) -> str:
    if isinstance(step, ApplyStep):
        return " + ".join(product.name for product in step.products)
    return f"wait {step.minutes} min" if step.minutes is not None else "wait until the skin is dry"


def _reason(page: Page, told: Told, sentences: Mapping[str, str], length: int) -> Iterator[str]:
    days = ", ".join(told.days) or "on no day"
    if len(told.days) == length:
        days = "every day"
    yield from page.note(told.slot, f"{told.product}: {days}. Wished: {told.wish}.")
    for said, name in told.rules:
        words = f"wished: {sentences[name]}" if name.startswith("wish ") else sentences.get(name, name)
        yield from page.note("", f"{said}; {words}", body="faint")


def _core(page: Page, arranged: Arranged, core: Core, sentences: Mapping[str, str]) -> Iterator[str]:
    said = arranged.desk.wanted.said
    if core.cycle:
        yield from page.note(
            "Clash",
            f"“{said[core.wishes[0]]}” does not fit into a cycle of {arranged.attempt.length} days.",
            "caution",
            "title",
        )
        return
    yield from page.note("Clash", "These cannot all hold; leave any one out and the others can:", "caution", "title")
    for name in core.wishes:
        yield from page.note("wish", said.get(name, name))
    for name in core.rules:
        yield from page.note("rule", f"{name}: {sentences.get(name, '')}".rstrip(": "))


def as_data(
    arranged: Arranged,
    sentences: Mapping[str, str],
    cores: tuple[Core, ...],
    relaxations: tuple[Relaxation, ...],
    text: str | None,
) -> dict[str, object]:
    """The same for programs; ``text`` is the regimen file."""
    attempt, said = arranged.attempt, arranged.desk.wanted.said
    return {
        "format": "dermalint-plan/1",
        "regimen": arranged.desk.wanted.regimen.title,
        "cycle": attempt.length,
        "accepted": attempt.accepted,
        "proven": attempt.proven,
        "outcome": outcome(arranged),
        "missed": [said.get(demand.wish, demand.wish) for demand in attempt.missed()],
        "why": [
            {
                "product": told.product,
                "slot": told.slot,
                "days": list(told.days),
                "wish": told.wish,
                "rules": [{"rule": name, "so": so, "sentence": sentences.get(name)} for so, name in told.rules],
            }
            for told in reasons(arranged)
        ],
        "refused": [{"rule": finding.rule, "message": finding.message} for finding in attempt.refused],
        "clashes": [
            {
                "wishes": [said.get(name, name) for name in core.wishes],
                "rules": [{"rule": name, "sentence": sentences.get(name)} for name in core.rules],
                "cycle": core.cycle,
            }
            for core in cores
        ],
        "relaxations": [{"say": one.say, "price": one.price} for one in relaxations],
        "text": text,
    }
