"""What a hand-out says of days: each phase at a glance, and when a routine happens."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from dermalint.handout import said
from dermalint.handout.language import Language, titles
from dermalint.handout.names import SLOTS
from dermalint.handout.plan import HandOut, PhasePlan, RoutinePlan
from dermalint.handout.sheet import Section, Table

WEEKS = 4  # that are shown of a phase which goes on
MOST_WEEKS = 6  # of one that ends: a month has no more


def product_name(plan: HandOut, key: str, language: Language) -> str:
    """A product as people call it."""
    product = plan.products.get(key)
    return language.own(product.name if product and product.name else key.replace("-", " "))


def routine_name(routine: RoutinePlan, language: Language) -> str:
    """``Evening B``."""
    slot = titles(SLOTS, language, routine.slot)
    return f"{slot} {routine.letter}".rstrip()


def routine_lines(plan: HandOut, routine: RoutinePlan, language: Language) -> tuple[str, ...]:
    """When a routine happens: its days in each phase, its dates, its time, its condition."""
    t = language.t
    lines = []
    always = len(routine.days) == len(plan.phases) and all(days.turn.daily for days in routine.days)
    for days in routine.days[:1] if always else routine.days:
        begins = plan.starts + timedelta(days=plan.phases[days.phase - 1].first) if plan.starts else None
        when = _begun(said.turn(language, days.turn, days.weekday, begins))
        if len(plan.phases) > 1 and not always:
            when = language.named(t("Phase %(number)s", number=language.number(days.phase)), when)
        lines.append(f"{when}.")
    if routine.dates:
        dates = language.listed(language.short_date(day) for day in routine.dates)
        lines.append(t("On %(dates)s only.", dates=dates))
    if routine.at is not None:
        lines.append(t("At %(time)s.", time=language.clock(routine.at)))
    if routine.only_if:
        lines.append(f"{_begun(_condition(routine.only_if, language))}.")
    return tuple(dict.fromkeys(lines))


def glance(plan: HandOut, phase: PhasePlan, language: Language) -> Section:
    """A phase in one table: weeks with dates where they are known and one slot alone changes, else its days."""
    t = language.t
    many = len(plan.phases) > 1
    heading = t("Phase %(number)s at a glance", number=language.number(phase.number)) if many else t("At a glance")
    begins = plan.starts + timedelta(days=phase.first) if plan.starts else None
    slot = _changing(phase)
    if begins is None or slot is None:
        shown, table = len(phase.days), _days(plan, phase, language)
        whole = min(phase.repeats, phase.lasts or phase.repeats)
        legend: tuple[str, ...] = ()
    else:
        shown, table = _weeks(plan, phase, begins, slot, language)
        whole = phase.lasts or shown
        legend = tuple(_legend(plan, phase, slot, language))
    when = list(_when(phase, begins if many else None, many, language))
    if shown < whole:
        when.append(language.n("Shown is the first day.", "Shown are the first %(count)s days.", shown))
    lines = [" ".join(when)] if when else []
    if begins is None and phase.repeats > 1 and phase.days[0].weekday is None:
        lines.append(t("The date of day 1:\N{NO-BREAK SPACE}________"))
    return Section(f"phase-{phase.number}", heading, (*lines, *legend), table)


def _when(phase: PhasePlan, begins: date | None, many: bool, language: Language) -> Iterator[str]:
    """From when a phase lasts, how long, and how it comes round."""
    t = language.t
    if begins:
        yield t("From %(date)s.", date=language.day(begins))
    if phase.lasts is not None:
        yield t("Lasts %(length)s.", length=language.n("one day", "%(count)s days", phase.lasts))
    elif many:
        yield t("Goes on in the same way.")
    if phase.repeats > 1 and phase.days[0].weekday is None:
        yield language.n("Comes again every day.", "Comes again every %(count)s days.", phase.repeats)


def _days(plan: HandOut, phase: PhasePlan, language: Language) -> Table:
    """The days of one turn."""
    t = language.t
    rows = []
    for day in phase.days:
        if phase.repeats == 1:
            name = t("Every day")
        elif day.weekday is not None:
            name = language.weekday(day.weekday)
        else:
            name = t("Day %(number)s", number=language.number(day.number))
            if day.date is not None:
                name = language.named(name, language.day_of_month(day.date))
        cells = ("; ".join(_cell(plan, number, language) for number in numbers) or "–" for numbers in day.slots)
        rows.append((name, *cells))
    heads = (t("Day"), *(titles(SLOTS, language, slot) for slot in plan.slots))
    return Table(heads, tuple(rows))


def _changing(phase: PhasePlan) -> int | None:
    """The one slot that is not the same each day, where weeks of letters tell more than the days of a turn."""
    whole = len(phase.days) == phase.repeats or len(phase.days) == phase.lasts
    if phase.repeats == 1 or not whole or phase.days[0].weekday is not None:
        return None
    slots = zip(*(day.slots for day in phase.days), strict=True)
    changing = [place for place, days in enumerate(slots) if len(set(days)) > 1]
    return changing[0] if len(changing) == 1 else None


def _weeks(plan: HandOut, phase: PhasePlan, begins: date, slot: int, language: Language) -> tuple[int, Table]:
    """How many days are shown, and those: a row for each week of the calendar."""
    before = (begins.weekday() - language.first_weekday) % 7
    shown = 7 * WEEKS - before if phase.lasts is None else min(phase.lasts, 7 * MOST_WEEKS - before)
    cells = [""] * before
    for day in range(shown):
        numbers = phase.days[day % len(phase.days)].slots[slot]
        cells.append("; ".join(plan.routines[number].letter or language.t("yes") for number in numbers) or "–")
    cells += [""] * (-len(cells) % 7)
    rows = []
    for first in range(0, len(cells), 7):
        monday = begins + timedelta(days=first - before)
        rows.append((language.day_of_month(max(monday, begins)), *cells[first : first + 7]))
    weekdays = (language.short_weekday((language.first_weekday + day) % 7) for day in range(7))
    return shown, Table((language.t("Week from"), *weekdays), tuple(rows))


def _legend(plan: HandOut, phase: PhasePlan, slot: int, language: Language) -> Iterator[str]:
    """What the letters of the weeks mean, and the slots that are the same each day."""
    t = language.t
    seen = sorted({number for day in phase.days for number in day.slots[slot]})
    called = titles(SLOTS, language, plan.slots[slot])
    if any(plan.routines[number].letter for number in seen):
        yield t("%(slot)s – %(routines)s.", slot=called, routines="; ".join(_cell(plan, number, language) for number in seen))
    else:
        yield t("%(slot)s: on the days marked “yes”.", slot=called)
    for place, name in enumerate(plan.slots):
        numbers = phase.days[0].slots[place]
        if place == slot or not numbers:
            continue
        called = titles(SLOTS, language, name)
        cells = "; ".join(_cell(plan, number, language) for number in numbers)
        if cells == t("yes"):
            yield t("%(slot)s: every day.", slot=called)
        else:
            yield t("%(slot)s, every day – %(routines)s.", slot=called, routines=cells)


def _cell(plan: HandOut, number: int, language: Language) -> str:
    routine = plan.routines[number]
    name = routine.letter or language.t("yes")
    shown = [product_name(plan, key, language) for key in routine.special[:2]]
    if routine.letter and shown:
        products = ", ".join(shown) + (" …" if len(routine.special) > 2 else "")
        name = language.named(name, language.t("with %(products)s", products=products))
    elif routine.letter and any(other.special for other in plan.routines if other.slot == routine.slot):
        name = language.named(name, language.t("the basics"))
    if routine.only_if:
        name += f" ({_condition(routine.only_if, language)})"
    return name


def _condition(condition: str, language: Language) -> str:
    negated = condition.startswith("not ")
    said_of = language.own(condition.removeprefix("not "))
    return language.t("only if not: %(what)s", what=said_of) if negated else language.t("only if: %(what)s", what=said_of)


def _begun(text: str) -> str:
    return text[:1].upper() + text[1:]
