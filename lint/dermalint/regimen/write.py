"""A regimen as the text of a YAML file: what :func:`dermalint.regimen.read.read_regimen` gives back, but for places."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from dermalint.regimen.days import WEEKDAYS
from dermalint.regimen.model import (
    Contact,
    Content,
    Days,
    Event,
    Mention,
    Often,
    Outdoors,
    PastTest,
    PastUse,
    Person,
    Phase,
    Product,
    Regimen,
    Routine,
    Stage,
    Step,
    WaitStep,
    Waiver,
    Wish,
)

BILLION = 1_000_000_000
WIDTH = 110  # columns that a group of fields may take in one line
_ROMAN = ("I", "II", "III", "IV", "V", "VI")
_PLAIN = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 ._/%+()'-]*[A-Za-z0-9._/%+()'-])?")
_WORDS = frozenset(("null", "true", "false", "~"))


class _Bare(str):
    """A text that is written without quotes whatever it is: true, false."""

    __slots__ = ()


_Value = str | None | Sequence["_Value"] | Mapping[str, "_Value"]
_Fields = dict[str, "_Value"]
_TRUE = _Bare("true")


def write_regimen(regimen: Regimen) -> str:
    """The regimen as the text of a ``.regimen.yaml`` file, ending in a line feed.

    Products of shared files are written out, so that the file stands alone.  A regimen without phases and wishes, which only a
    file with mistakes gives, is written with an empty list of routines.
    """
    fields = _regimen(regimen)
    if regimen.person_name is not None:
        title = fields.pop("regimen")
        fields = {"regimen": title, "people": {regimen.person_name: fields}}
    return "".join(f"{line}\n" for line in _block(fields, ""))


def _regimen(regimen: Regimen) -> _Fields:
    phases, wishes = regimen.phases, regimen.wishes
    one = len(phases) == 1 and phases[0].days is None
    cycle: str | None = None
    if regimen.longest_cycle is not None:
        cycle = f"any up to {_count(regimen.longest_cycle, 'day')}"
    elif one or regimen.wished_cycle is not None:
        cycle = _count(phases[0].cycle if one else regimen.wished_cycle or 7, "day")
    routines: _Value = None
    if one or not (phases or wishes):
        routines = [_routine(routine) for routine in (phases[0].routines if one else ())]
    stated: dict[str, _Value] = {name: _clock(at) for name, at in regimen.clock.stated.items()}
    stated |= {own.name: {"at": _clock(own.at), "counts-as": own.counts_as} for own in regimen.clock.own}
    history: _Value = None
    if regimen.history is not None:
        history = [_use(past) if isinstance(past, PastUse) else _test(past) for past in regimen.history]
    return _stated(
        {
            "regimen": regimen.title,
            "about": regimen.about,
            "starts": _date(regimen.starts),
            "region": regimen.region.name if regimen.region else None,
            "stance": regimen.stance,
            "person": _person(regimen.person) or None,
            "products": {key: _product(product) for key, product in regimen.products.items()},
            "day": stated or None,
            "cycle": cycle,
            "routines": routines,
            "phases": [_phase(phase) for phase in phases] if phases and not one else None,
            "wishes": [_wish(wish) for wish in wishes] or None,
            "events": [_event(event) for event in regimen.events] or None,
            "outdoors": [_outdoors(outdoors) for outdoors in regimen.outdoors] or None,
            "history": history,
            "waivers": [_waiver(waiver) for waiver in regimen.waivers] or None,
        }
    )


# --- fields of things ---


def _stated(fields: Mapping[str, _Value]) -> _Fields:
    return {name: value for name, value in fields.items() if value is not None}


def _person(person: Person) -> _Fields:
    age: str | None = None
    if person.age_months is not None:
        years, months = divmod(person.age_months, 12)
        age = f"{person.age_months} months" if months or not years else str(years)
    return _stated(
        {
            "age": age,
            "sex": person.sex,
            "traits": _facts(person.traits),
            "reasons": _facts(person.reasons),
            "symptoms": _facts(person.symptoms),
            "allergies": _facts(person.allergies),
            "phototype": _ROMAN[person.phototype - 1] if person.phototype else None,
            "takes": [
                _stated({"substance": medicine.substance, "since": _date(medicine.since), "until": _date(medicine.until)})
                for medicine in person.takes
            ]
            or None,
        }
    )


def _facts(facts: Sequence[Mention]) -> _Value:
    return [{fact.name: fact.detail or _date(fact.since)} if fact.detail or fact.since else fact.name for fact in facts] or None


def _product(product: Product) -> _Fields:
    months = product.lasts_after_opening_months
    kinds = [kind.name for kind in product.kinds]
    return _stated(
        {
            "name": product.name,
            "kind": kinds[0] if len(kinds) == 1 else kinds or None,
            "base": product.base.name if product.base else None,
            "contact": None if product.contact == Contact() else _contact(product.contact),
            "ph": _decimal(product.ph),
            "spf": _decimal(product.spf),
            "filters": product.filters,
            "broad-spectrum": None if product.broad_spectrum is None else _Bare(str(product.broad_spectrum).lower()),
            "contains": _contents(product.contains),
            "ingredients": product.ingredients,
            "prescribed": _true(product.prescribed),
            "form": None if product.form == "plain" else product.form,
            "made-up": _true(product.made_up),
            "bought": _date(product.bought),
            "opened": _date(product.opened),
            "dispensed": _date(product.dispensed),
            "expires": _date(product.expires),
            "lasts-after-opening": None if months is None else _count(months, "month"),
        }
    )


def _contents(contents: Sequence[Content]) -> _Value:
    if all(content.strength is None for content in contents):
        return [content.name for content in contents] or None
    return {content.name: None if content.strength is None else f"{_decimal(content.strength)} %" for content in contents}


def _contact(contact: Contact) -> _Value:
    return contact.kind if contact.minutes is None else {contact.kind: f"{contact.minutes} min"}


def _phase(phase: Phase) -> _Fields:
    return _stated(
        {
            "for": None if phase.days is None else _length(phase.days),
            "cycle": _count(phase.cycle, "day"),
            "routines": [_routine(routine) for routine in phase.routines],
        }
    )


def _routine(routine: Routine) -> _Fields:
    days = routine.days
    whole: _Fields = {"slot": routine.slot.name}
    if routine.dates:
        whole["dates"] = [day.isoformat() for day in routine.dates]
    elif days.every is not None or days.numbers or days.weekdays:
        whole["days"] = _days(days)
    return _stated(
        {
            **whole,
            "at": None if routine.at is None else _clock(routine.at),
            "only-if": routine.only_if,
            "steps": [_step(step) for step in routine.steps],
        }
    )


def _days(days: Days) -> _Value:
    if days.every is not None:
        every = _count(days.every, "day")
        return f"every {every}" if days.anchor is None else {"every": every, "anchor": days.anchor.isoformat()}
    names = [WEEKDAYS[day - 1] for day in days.weekdays] or [str(number) for number in days.numbers]
    if days.negated:
        return f"not {', '.join(names)}"
    return names or "every"


def _step(step: Step) -> _Value:
    if isinstance(step, WaitStep):
        return {"wait": {"until": "skin is dry"} if step.minutes is None else f"{step.minutes} min"}
    names = [product.name for product in step.products]
    more = _stated(
        {
            "areas": _names(step.areas),
            "except": _names(step.without),
            "amount": step.amount,
            "contact": None if step.contact is None else _contact(step.contact),
            "as-needed": _true(step.as_needed),
            "at-most": None if step.at_most is None else f"{step.at_most} per day",
            "repeat": None if step.repeat_minutes is None else f"every {step.repeat_minutes} min",
            "until": None if step.repeat_until is None else _clock(step.repeat_until),
            "skin": step.skin,
        }
    )
    if len(names) > 1:
        return {"mix": names, **more}
    return {"product": names[0], **more} if more else names[0]


def _event(event: Event) -> _Fields:
    return _stated(
        {
            "event": event.event.name,
            "on": _date(event.on),
            "every": None if event.every_days is None else _count(event.every_days, "day"),
            "from": _date(event.first),
            "times": None if event.times is None else str(event.times),
            "slot": event.slot.name if event.slot else None,
            "days": None if event.days is None else _days(event.days),
            "at": None if event.at is None else _clock(event.at),
            "areas": _names(event.areas),
        }
    )


def _outdoors(outdoors: Outdoors) -> _Fields:
    return _stated(
        {
            "days": None if outdoors.days is None else _days(outdoors.days),
            "dates": [day.isoformat() for day in outdoors.dates] or None,
            "from": None if outdoors.start is None else _clock(outdoors.start),
            "to": None if outdoors.end is None else _clock(outdoors.end),
            "indoors": _true(outdoors.indoors),
            "behind": outdoors.behind,
            "covered": _names(outdoors.covered),
        }
    )


def _use(past: PastUse) -> _Fields:
    uses = None if past.uses is None or past.per_days is None else f"{past.uses} per {_span(past.per_days)}"
    return _stated({"product": past.product.name, "since": _date(past.since), "until": _date(past.until), "uses": uses})


def _test(past: PastTest) -> _Fields:
    contact: _Value = past.contact
    if past.contact == "timed":
        contact = {"timed": "1 min"}  # how long is not kept, and a timed contact must say it
    return _stated(
        {
            "patch-test": past.product.name,
            "from": _date(past.first),
            "hours": None if past.hours is None else str(past.hours),
            "areas": _names(past.areas),
            "times-a-day": None if past.times_a_day is None else str(past.times_a_day),
            "contact": contact,
            "protocol": past.protocol,
            "reaction": past.reaction,
        }
    )


def _waiver(waiver: Waiver) -> _Fields:
    return _stated(
        {
            "rule": waiver.rule,
            "topics": list(waiver.topics) or None,
            "products": _names(waiver.products),
            "reason": waiver.reason,
            "by": waiver.by,
            "until": _date(waiver.until),
        }
    )


def _wish(wish: Wish) -> _Fields:
    return _stated(
        {
            "product": wish.product.name if wish.product else None,
            **{often.counted: rate_text(often) for often in wish.often},
            "not-before": _names(wish.not_before),
            "prefer": _names(wish.prefer),
            "ramp": [_stage(stage) for stage in wish.ramp] or None,
            "after": None if wish.after is None else _count(wish.after, "day"),
            "keep-free": _names(wish.keep_free),
            "introduce": None if wish.introduce is None else _count(wish.introduce, "day"),
            "priority": None if wish.priority is None else str(wish.priority),
        }
    )


def rate_text(often: Often | Stage) -> str:
    """How often, as a wish writes it: ``3 per week``, ``every``."""
    if (often.least, often.most, often.per_days) == (1, 1, 1):
        return "every"
    counts = str(often.most) if often.least == often.most else f"{often.least} to {often.most}"
    return f"{counts} per {'cycle' if often.per_days is None else _span(often.per_days)}"


def _stage(stage: Stage) -> str:
    rate = rate_text(stage)
    return f"then {rate}" if stage.lasts is None else f"{rate} for {_length(stage.lasts)}"


def _names(mentions: Sequence[Mention]) -> _Value:
    return [mention.name for mention in mentions] or None


def _date(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _true(truth: bool) -> _Bare | None:
    return _TRUE if truth else None


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"


def _count(number: int, unit: str) -> str:
    return f"{number} {unit}" if number == 1 else f"{number} {unit}s"


def _length(days: int) -> str:
    return _count(days, "day") if days % 7 else _count(days // 7, "week")


def _span(days: int) -> str:
    return {1: "day", 7: "week"}.get(days) or _count(days, "day")


def _decimal(billionths: int | None) -> str | None:
    if billionths is None:
        return None
    whole, part = divmod(billionths, BILLION)
    return f"{whole}.{part:09}".rstrip("0") if part else str(whole)


# --- YAML ---


def _scalar(text: str) -> str:
    """A text in YAML, plain where nothing else could be read into it, else in double quotes."""
    if isinstance(text, _Bare) or (_PLAIN.fullmatch(text) and text.lower() not in _WORDS):
        return text
    return f'"{"".join(_escaped(sign) for sign in text)}"'


def _escaped(sign: str) -> str:
    if sign in ('"', "\\"):
        return f"\\{sign}"
    if sign == " " or sign.isprintable():
        return sign
    code = ord(sign)
    return f"\\U{code:08x}" if code > 0xFFFF else f"\\u{code:04x}"


def _flow(value: _Value) -> str:
    """A value in one line."""
    if value is None:
        return ""
    if isinstance(value, str):
        return _scalar(value)
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{_scalar(key)}: {_flow(item)}' for key, item in value.items())}}}"
    return f"[{', '.join(map(_flow, value))}]"


def _block(fields: Mapping[str, _Value], indent: str) -> Iterable[str]:
    """Fields each on a line of its own; groups and lists that are short stand in one line."""
    for key, value in fields.items():
        name = f"{indent}{_scalar(key)}:"
        line = f"{name} {_flow(value)}".rstrip()
        if isinstance(value, str) or not value or (len(line) <= WIDTH and not _unfolds(key, value)):
            yield line
        elif isinstance(value, Mapping):
            yield name
            yield from _block(value, f"{indent}  ")
        else:
            yield name
            yield from _items(value, f"{indent}  ")


def _items(values: Sequence[_Value], indent: str) -> Iterable[str]:
    for value in values:
        line = f"{indent}- {_flow(value)}"
        if not isinstance(value, Mapping) or (len(line) <= WIDTH and "steps" not in value and "routines" not in value):
            yield line
            continue
        first, *rest = _block(value, f"{indent}  ")
        yield f"{indent}- {first.removeprefix(f'{indent}  ')}"
        yield from rest


def _unfolds(key: str, value: _Value) -> bool:
    """Whether people look for each item on a line of its own."""
    if key in ("products", "people"):
        return True
    if isinstance(value, Mapping):
        return "steps" in value or "routines" in value or "products" in value
    return not isinstance(value, str) and value is not None and any(isinstance(item, Mapping) for item in value)
