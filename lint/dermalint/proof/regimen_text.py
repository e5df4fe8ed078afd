"""Small regimens as text: what plans hold, written so that reading it gives the same regimen."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

from dermalint.regimen.model import (
    ApplyStep,
    Contact,
    Days,
    Event,
    PastTest,
    PastUse,
    Person,
    Phase,
    Product,
    Regimen,
    Routine,
    Step,
)
from dermalint_grammar.nodes import BILLION

_PLAIN = re.compile(r"[a-z][a-z0-9-]*( [a-z0-9-]+)*")
_ROMAN = ("", "I", "II", "III", "IV", "V", "VI")
_UNQUOTED = re.compile(r"[0-9]+(\.[0-9]+)? %|[0-9]+(\.[0-9]+)?|[0-9]{4}-[0-9]{2}-[0-9]{2}|true|false")


def regimen_text(regimen: Regimen, note: str = "") -> str:
    """A regimen file in YAML; ``note`` is a comment at its top."""
    lines = [f"# {line}" for line in note.splitlines()]
    lines.append(f"regimen: {json.dumps(regimen.title, ensure_ascii=False)}")
    if regimen.starts is not None:
        lines.append(f"starts: {regimen.starts.isoformat()}")
    if regimen.region is not None:
        lines.append(f"region: {regimen.region.name}")
    if regimen.stance is not None:
        lines.append(f"stance: {regimen.stance}")
    person = dict(_person(regimen.person))
    if person:
        lines.append(f"person: {_flow(person)}")
    if regimen.products:
        lines.append("products:")
        lines += [f"  {key}: {_flow(dict(_product(product)))}" for key, product in regimen.products.items()]
    if "bed" in regimen.clock.stated:
        lines.append(f"day: {_flow({'bed': _clock(regimen.clock.stated['bed'])})}")
    lines += _phases(regimen)
    if regimen.events:
        lines.append("events:")
        lines += [f"  - {_flow(dict(_event(event)))}" for event in regimen.events]
    if regimen.outdoors:
        lines.append("outdoors:")
        for one in regimen.outdoors:
            if one.start is not None and one.end is not None:
                lines.append(f"  - {_flow({'days': 'every', 'from': _clock(one.start), 'to': _clock(one.end)})}")
    if regimen.history is not None:
        entries = [f"  - {_flow(dict(_past(past)))}" for past in regimen.history]
        lines += ["history:", *entries] if entries else ["history: []"]
    return "\n".join(lines) + "\n"


def _phases(regimen: Regimen) -> Iterator[str]:
    (phase,) = regimen.phases
    if phase.days is not None:
        yield "phases:"
        yield f"  - for: {phase.days} days"
        yield f"    cycle: {phase.cycle} days"
        yield from _routines(phase, "    ")
        return
    if phase.cycle != 7:
        yield f"cycle: {phase.cycle} days"
    yield from _routines(phase, "")


def _routines(phase: Phase, indent: str) -> Iterator[str]:
    if not phase.routines:
        yield f"{indent}routines: []"
        return
    yield f"{indent}routines:"
    for routine in phase.routines:
        yield f"{indent}  - {_flow(dict(_routine(routine)))}"


def _routine(routine: Routine) -> Iterator[tuple[str, object]]:
    yield "slot", routine.slot.name
    days = _days(routine.days)
    if days:
        yield "days", days
    yield "steps", [_step(step) for step in routine.steps]


def _days(days: Days) -> list[object]:
    names = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    return [*days.numbers, *(names[day - 1] for day in days.weekdays)]


def _step(step: Step) -> object:
    if not isinstance(step, ApplyStep):
        return {"wait": f"{step.minutes} min"}
    said: dict[str, object] = {"product": step.products[0].name}
    if step.areas:
        said["areas"] = [area.name for area in step.areas]
    if step.amount:
        said["amount"] = step.amount
    if step.as_needed:
        said["as-needed"] = True
    if step.skin:
        said["skin"] = step.skin
    return step.products[0].name if len(said) == 1 else said


def _person(person: Person) -> Iterator[tuple[str, object]]:
    if person.age_months is not None:
        years, months = divmod(person.age_months, 12)
        yield "age", years if not months and years else f"{person.age_months} months"
    for word, mentions in (
        ("traits", person.traits),
        ("reasons", person.reasons),
        ("symptoms", person.symptoms),
        ("allergies", person.allergies),
    ):
        if mentions:
            yield word, [mention.name for mention in mentions]
    if person.phototype is not None:
        yield "phototype", _ROMAN[person.phototype]
    if person.takes:
        yield (
            "takes",
            [
                medicine.substance
                if medicine.until is None
                else {"substance": medicine.substance, "until": medicine.until.isoformat()}
                for medicine in person.takes
            ],
        )


def _product(product: Product) -> Iterator[tuple[str, object]]:
    if product.kinds:
        kinds = [kind.name for kind in product.kinds]
        yield "kind", kinds[0] if len(kinds) == 1 else kinds
    if product.base is not None:
        yield "base", product.base.name
    if product.contact != Contact():
        yield "contact", _contact(product.contact)
    if product.ph is not None:
        yield "ph", _number(product.ph)
    if product.spf:  # none is what a file does not state
        yield "spf", _number(product.spf)
    if product.contains:
        yield (
            "contains",
            {c.name: None if c.strength is None else f"{_number(c.strength)} %" for c in product.contains},
        )
    if product.prescribed:
        yield "prescribed", True
    if product.form != "plain":
        yield "form", product.form
    if product.made_up:
        yield "made-up", True
    for word, day in (("opened", product.opened), ("dispensed", product.dispensed), ("expires", product.expires)):
        if day is not None and (word != "dispensed" or product.made_up):
            yield word, day.isoformat()


def _contact(contact: Contact) -> object:
    return contact.kind if contact.minutes is None else {contact.kind: f"{contact.minutes} min"}


def _event(event: Event) -> Iterator[tuple[str, object]]:
    yield "event", event.event.name
    if event.on is not None:
        yield "on", event.on.isoformat()
    if event.areas:
        yield "areas", [area.name for area in event.areas]


def _past(past: PastUse | PastTest) -> Iterator[tuple[str, object]]:
    if isinstance(past, PastTest):
        yield "patch-test", past.product.name
        if past.first is not None:
            yield "from", past.first.isoformat()
        if past.hours is not None:
            yield "hours", past.hours
        if past.reaction is not None:
            yield "reaction", past.reaction
        return
    yield "product", past.product.name
    if past.since is not None:
        yield "since", past.since.isoformat()


def _clock(minute: int) -> str:
    hour, rest = divmod(minute % 1440, 60)
    return f"{hour:02}:{rest:02}"


def _number(value: int) -> str:
    whole, rest = divmod(value, BILLION)
    return str(whole) if not rest else f"{whole}.{str(rest).rjust(9, '0').rstrip('0')}"


def _flow(value: object) -> str:
    """A value in YAML's flow style."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(one)}".rstrip() for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(one) for one in value) + "]"
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    return text if _PLAIN.fullmatch(text) or _UNQUOTED.fullmatch(text) else json.dumps(text, ensure_ascii=False)
