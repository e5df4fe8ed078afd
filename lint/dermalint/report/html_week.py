"""The week of the HTML page: days down, slots across, the steps of each routine in their order, marked where a remark is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dermalint.report.days import date_in_words
from dermalint.report.html_remarks import Numbered, described, label
from dermalint.report.markup import Markup, element
from dermalint.spans import Place
from dermalint.timeline.plan import Plan, ShownDate, ShownDay, ShownPhase, ShownRoutine, ShownStep
from dermalint.verdict.findings import POSSIBLE, Finding
from dermalint_grammar.record import Record, replace

_Key = tuple[int, int, str | None]  # a place, whatever pointer leads to it


class _Row(Record):
    """Days in a row that are alike, in their cells of the table."""

    days: tuple[ShownDay, ...]
    cells: tuple[Markup, ...]


def week(name: str, plan: Plan, numbered: Sequence[Numbered]) -> Iterator[Markup]:
    """One table a phase; ``name`` is the regimen's on the page."""
    cyclic = [_without_dates(remark, plan) for remark in numbered]
    # A slot without steps is shown too where something is missing in it.
    used = {routine.slot for phase in plan.phases for day in phase.days for routine in day.routines}
    used |= {occurrence.slot for remark in cyclic for occurrence in remark.finding.occurs if occurrence.slot}
    slots = [(slot, stated) for slot, stated in plan.slots if slot in used]
    for phase in plan.phases:
        yield _phase(f"{name}-w{phase.number}", phase, slots, cyclic, len(plan.phases) > 1)


def _without_dates(remark: Numbered, plan: Plan) -> Numbered:
    """The remark without what is marked at a single date already."""
    at = {shown.date for shown in plan.dates if _key(remark.finding.where) in _keys([shown.routine])}
    occurs = tuple(occurrence for occurrence in remark.finding.occurs if occurrence.date not in at)
    return replace(remark, finding=replace(remark.finding, occurs=occurs))


def _phase(
    name: str, phase: ShownPhase, slots: Sequence[tuple[str, str | None]], numbered: Sequence[Numbered], several: bool
) -> Markup:
    heads = [
        element("th", {"scope": "col", "role": "columnheader"}, _spoken(slot), *_clock(stated)) for slot, stated in slots
    ]
    corner = element("th", {"scope": "col", "role": "columnheader"}, "Day")
    rows = [_table_row(row, slots, phase.repeats != 7) for row in _rows(phase, slots, numbered)]
    table = element(
        "table", {"role": "table", "aria-labelledby": name},
        element("thead", {"role": "rowgroup"}, element("tr", {"role": "row"}, corner, *heads)),
        element("tbody", {"role": "rowgroup"}, *rows),
    )  # fmt: skip
    return element("div", {"class": "phase"}, element("h3", {"id": name}, _title(phase, several)), table)


def _title(phase: ShownPhase, several: bool) -> str:
    cycle = "The week" if phase.repeats == 7 else f"The {phase.repeats} days that repeat"
    if phase.repeats == 1:
        cycle = "Every day"
    if phase.lasts is not None and phase.lasts <= phase.repeats:
        cycle = f"The {phase.lasts} days"
    if len(phase.days) < phase.repeats and (phase.lasts is None or len(phase.days) < phase.lasts):
        cycle += f", the first {len(phase.days)} of them"
    if not several:
        return cycle
    return f"Phase {phase.number}: {cycle[:1].lower()}{cycle[1:]}" + (f", for {phase.lasts} days" if phase.lasts else "")


def _clock(stated: str | None) -> list[Markup]:
    return [element("span", {"class": "faint clock"}, f" {stated}")] if stated else []


def _spoken(name: str) -> str:
    return name[:1].upper() + name[1:].replace("-", " ")


def _rows(phase: ShownPhase, slots: Sequence[tuple[str, str | None]], numbered: Sequence[Numbered]) -> list[_Row]:
    rows: list[_Row] = []
    for day in phase.days:
        cells = tuple(_cell(phase, day, slot, numbered) for slot, _ in slots)
        if rows and rows[-1].cells == cells:
            rows[-1] = _Row((*rows[-1].days, day), cells)
        else:
            rows.append(_Row((day,), cells))
    return rows


def _table_row(row: _Row, slots: Sequence[tuple[str, str | None]], numbers: bool) -> Markup:
    cells = [
        element(
            "td", {"role": "cell", "data-slot": _spoken(slot), **({} if cell else {"class": "empty"})},
            cell or element("span", {"class": "unseen"}, "nothing"),
        )
        for (slot, _), cell in zip(slots, row.cells, strict=True)
    ]  # fmt: skip
    head = element("th", {"scope": "row", "role": "rowheader"}, *_days(row.days, numbers))
    return element("tr", {"role": "row"}, head, *cells)


def _days(days: Sequence[ShownDay], with_numbers: bool) -> list[Markup | str]:
    """``Monday``, ``Monday to Friday``, ``Day 3``; where a cycle is no week, its numbers stand beside the names."""
    first, last = days[0], days[-1]
    joint = " and " if len(days) == 2 else " to "
    numbers = f"day {first.number}" if first is last else f"days {first.number}{joint}{last.number}"
    if first.weekday is None or last.weekday is None:
        return [_spoken(numbers)]
    names = first.weekday.capitalize()
    if first is not last:
        names = "Every day" if len(days) == 7 and first.number == 1 else names + joint + last.weekday.capitalize()
    return [names, element("span", {"class": "faint clock"}, f" {numbers}")] if with_numbers else [names]


def _cell(phase: ShownPhase, day: ShownDay, slot: str, numbered: Sequence[Numbered]) -> Markup:
    here = [remark for remark in numbered if _occurs(remark.finding, phase.number, day.number, slot)]
    routines = [routine for routine in day.routines if routine.slot == slot]
    places = _keys(routines)
    parts: list[Markup] = []
    for routine in routines:
        parts += _routine(routine, here, places)
    missing = [_mark(remark) for remark in here if not ({_key(remark.finding.where)} | _related(remark)) & places]
    if missing:
        parts.append(element("p", {"class": "step of-slot"}, *_spaced(missing)))
    return Markup("".join(parts))


def _occurs(finding: Finding, phase: int, day: int, slot: str) -> bool:
    return any(
        (occurrence.phase, occurrence.day) == (phase, day) and occurrence.slot in (slot, None) for occurrence in finding.occurs
    )


def _key(place: Place) -> _Key:
    return place.start, place.end, place.path


def _keys(routines: Sequence[ShownRoutine]) -> set[_Key]:
    return {_key(place) for routine in routines for step in routine.steps for place in step.places}


def _related(remark: Numbered) -> set[_Key]:
    return {_key(related.place) for related in remark.finding.related}


def _routine(routine: ShownRoutine, here: Sequence[Numbered], around: set[_Key]) -> Iterator[Markup]:
    """A routine's steps; ``around`` are the places of all steps of its cell."""
    said = [f"at {routine.at}"] if routine.at else []
    said += [f"only if {routine.only_if}"] if routine.only_if else []
    if said:
        yield element("p", {"class": "faint terms"}, ", ".join(said))
    yield element("ol", {"class": "steps"}, *(_step(step, here, around) for step in routine.steps))


def _step(step: ShownStep, here: Sequence[Numbered], around: set[_Key]) -> Markup:
    """A step with its marks: the full one on the step a remark is about, or on its partner where that step is elsewhere."""
    places = {_key(place) for place in step.places}
    marks: list[Markup] = []
    for remark in here:
        main = _key(remark.finding.where)
        if main in places:
            marks.append(_mark(remark))
        elif _related(remark) & places:
            marks.append(_with(remark) if main in around else _mark(remark))
    details = [element("span", {"class": "detail"}, ", ".join(step.details))] if step.details else []
    kind = "step" if step.places else "step wait"
    return element("li", {"class": kind}, element("span", {"class": "said"}, step.said), *details, *_spaced(marks))


def _spaced(marks: Sequence[Markup]) -> list[str]:
    return [part for mark in marks for part in (" ", mark)]


def _mark(remark: Numbered) -> Markup:
    maybe = " maybe" if remark.finding.certainty == POSSIBLE else ""
    classes = f"tag {remark.finding.severity}{maybe} {remark.kept}"
    return element("a", {"class": classes, "href": f"#{remark.name}"}, *label(remark))


def _with(remark: Numbered) -> Markup:
    """The quieter mark of a step that takes part in a remark on another one."""
    number = element("span", {"class": "unseen"}, "takes part in remark ")
    shown = element("span", {"aria-hidden": "true"}, "with ")
    return element("a", {"class": f"part {remark.kept}", "href": f"#{remark.name}"}, number, shown, str(remark.number))


def dates(plan: Plan, numbered: Sequence[Numbered]) -> Iterator[Markup]:
    """What happens on single dates."""
    if not plan.dates:
        return
    items = [element("li", {}, *_date(shown, numbered)) for shown in plan.dates]
    yield element("h3", {}, "On single dates")
    yield element("ul", {"class": "dates"}, *items)


def _date(shown: ShownDate, numbered: Sequence[Numbered]) -> Iterator[Markup]:
    here = [remark for remark in numbered if any(occurrence.date == shown.date for occurrence in remark.finding.occurs)]
    yield element("p", {"class": "day"}, ", ".join(part for part in (date_in_words(shown.date), shown.routine.slot) if part))
    yield from _routine(shown.routine, here, _keys([shown.routine]))


def shelf(plan: Plan) -> list[Markup]:
    """The products that are declared, folded."""
    if not plan.shelf:
        return []
    told = {
        product.key: [", ".join([*([product.name] if product.name else []), *product.about]) or "nothing stated"]
        for product in plan.shelf
    }
    summary = element("summary", {}, "What the products are")
    return [element("details", {"class": "shelf"}, summary, described(told))]
