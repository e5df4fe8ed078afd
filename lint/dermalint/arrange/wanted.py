"""What a file wishes, as stretches of time with a puzzle each."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from dermalint.arrange.puzzle import Ban, Clash, Demand, Fact, Item, Liking, Plan, Puzzle
from dermalint.checks.contents import read_contents
from dermalint.regimen.days import WEEKDAYS
from dermalint.regimen.model import ApplyStep, Mention, Often, PastUse, Phase, Regimen, Routine, Stage, WaitStep, Wish
from dermalint.regimen.wishes import free_of
from dermalint.regimen.write import rate_text
from dermalint.spans import Place
from dermalint.timeline.days import falls_on
from dermalint.vocabulary.world import World, nearest
from dermalint_grammar.record import Record

NOWHERE = Place(0, 0)
SLOTS = {"mornings": ("morning",), "middays": ("midday",), "afternoons": ("afternoon",), "evenings": ("evening",)}
ANY_SLOT = ("morning", "evening")
LONGEST = 14  # days of a cycle that is arranged
UNSTATED = 9  # the level of wishes without a priority
_PREFER = re.compile(r"(not )?(?:the )?(?:evening |day |night |morning )?(before|after|with) (.+)")
_REST = re.compile(r"a rest(?: (?:day|night|evening))?")


class WishError(Exception):
    """A wish that cannot be understood or arranged."""

    def __init__(self, message: str, hint: str, place: Place | None = None) -> None:
        super().__init__(message)
        self.message, self.hint, self.place = message, hint, place


class Stretch(Record):
    """Days from ``start`` on, with the wishes in force; the last one goes on."""

    start: int
    days: int | None


class Wanted(Record):
    """The wishes of a regimen, read.  ``said`` gives each wish its words; ``kept`` are routines that stay."""

    regimen: Regimen
    items: tuple[Item, ...]
    stretches: tuple[Stretch, ...]
    lengths: tuple[int, ...]
    said: dict[str, str]
    kept: tuple[Routine, ...]
    starts: dict[str, int]  # product -> the day it joins


def read_wanted(regimen: Regimen, helpers: Iterable[tuple[str, str]] = ()) -> Wanted:
    """The wishes; ``helpers`` are products and slots that may be put in where a rule asks for them.

    Raises :class:`WishError`.
    """
    if not regimen.wishes:
        raise WishError(
            "This file has no wishes.", "Add them, for instance: `wishes: [{product: night-cream, evenings: 3 per week}]`."
        )
    if len(regimen.phases) > 1 or any(phase.days is not None for phase in regimen.phases):
        raise WishError(
            "Wishes are arranged beside `routines`, not beside `phases`.", "Write ramps as wishes, and leave `phases` out."
        )
    phase = regimen.phases[0] if regimen.phases else None
    lengths = _lengths(regimen, phase)
    fixed, kept = _fixed(regimen, phase)
    items = list(fixed)
    there = {(item.product, item.slot) for item in items}
    for wish in regimen.wishes:
        if wish.product is None:
            continue
        for slot in _slots(regimen, wish.product.name):
            if (wish.product.name, slot) not in there:
                there.add((wish.product.name, slot))
                items.append(
                    Item(wish.product.name, slot, apply_step(wish.product.name), usual=_usual(regimen, wish.product.name, slot))
                )
    for product, slot in sorted(helpers):
        if (product, slot) not in there:
            there.add((product, slot))
            items.append(Item(product, slot, apply_step(product), usual=True))
    starts = _starts(regimen)
    return Wanted(regimen, tuple(items), _stretches(regimen, starts), lengths, _said(regimen), kept, starts)


def apply_step(product: str) -> ApplyStep:
    """A step that puts a product on the face."""
    return ApplyStep((Mention(product, NOWHERE),), NOWHERE)


def _lengths(regimen: Regimen, phase: Phase | None) -> tuple[int, ...]:
    named = any(phase.routines and routine.days.weekdays for phase in regimen.phases for routine in phase.routines)
    named = named or any((free_of(name.name) or (None,))[0] for wish in regimen.wishes for name in wish.keep_free)
    named = named or any(word in WEEKDAYS for wish in regimen.wishes for name in wish.prefer for word in name.name.split())
    if regimen.longest_cycle is not None:
        if regimen.longest_cycle > LONGEST:
            raise WishError(
                f"A cycle of up to {regimen.longest_cycle} days is more than is searched; {LONGEST} days is the most.",
                f"Write `cycle: any up to {LONGEST} days`, or less.",
            )
        tried = range(1, regimen.longest_cycle + 1)
        return (7,) if named else tuple(sorted(tried, key=lambda days: (days != 7, days)))
    length = regimen.wished_cycle or (phase.cycle if phase is not None else 7)
    if length > LONGEST:
        raise WishError(
            f"A cycle of {length} days is more than is arranged; {LONGEST} days is the most.",
            "Write `cycle: 7 days`, or `any up to 8 days`.",
        )
    if named and length != 7:
        raise WishError(
            "Weekdays are named, and the cycle is not 7 days.", "Write `cycle: 7 days`, or number the days: `day 3`."
        )
    return (length,)


def _fixed(regimen: Regimen, phase: Phase | None) -> tuple[list[Item], tuple[Routine, ...]]:
    """The steps that the file's own routines give, and the routines that are more than steps on days of the cycle."""
    items: dict[tuple[str, str], Item] = {}
    kept: list[Routine] = []
    for routine in () if phase is None else phase.routines:
        steps = [step for step in routine.steps if isinstance(step, ApplyStep)]
        names = [(step.products[0].name, routine.slot.name) for step in steps]
        plain = not routine.dates and routine.only_if is None and routine.at is None and routine.days.every is None
        if not plain or any(len(step.products) > 1 for step in steps) or len({*names}) < len(names) or {*names} & {*items}:
            kept.append(routine)
            continue
        assert phase is not None
        days = days_of(routine, phase.cycle, regimen.starts)
        for number, step in enumerate(routine.steps):
            if isinstance(step, ApplyStep):
                behind = routine.steps[number + 1] if number + 1 < len(routine.steps) else None
                wait = behind if isinstance(behind, WaitStep) else None
                items[step.products[0].name, routine.slot.name] = Item(
                    step.products[0].name, routine.slot.name, step, wait, days, usual=True
                )
    return list(items.values()), tuple(kept)


def days_of(routine: Routine, length: int, starts: date | None) -> frozenset[int]:
    """The days of a cycle on which a routine is, from 0; those of a week are its weekdays."""
    first = starts.weekday() if starts is not None and length == 7 else 0
    return frozenset(
        day
        for day in range(length)
        if falls_on(routine.days, day, phase_start=first, cycle=length, weekday=day % 7, starts=None)
    )


def _of(regimen: Regimen, product: str) -> list[tuple[int, Wish]]:
    return [(number, wish) for number, wish in enumerate(regimen.wishes, 1) if wish.product and wish.product.name == product]


def _slots(regimen: Regimen, product: str) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for _, wish in _of(regimen, product):
        for often in wish.often:
            found |= dict.fromkeys(SLOTS.get(often.counted, ANY_SLOT))
    return tuple(found) or ("evening",)


def _usual(regimen: Regimen, product: str, slot: str) -> bool:
    return any(
        slot in SLOTS.get(often.counted, ()) and often.per_days == often.least
        for _, wish in _of(regimen, product)
        for often in wish.often
    )


def _starts(regimen: Regimen) -> dict[str, int]:
    """The day each wished product joins."""
    starts: dict[str, int] = {}
    apart = next((wish.introduce for wish in regimen.wishes if wish.introduce), None)
    known = {past.product.name for past in regimen.history or () if isinstance(past, PastUse)}
    numbered = [(wish.priority or UNSTATED + 1, number, wish) for number, wish in enumerate(regimen.wishes) if wish.product]
    turn = 0
    for _, _, wish in sorted(numbered, key=lambda one: one[:2]):
        assert wish.product is not None
        product = wish.product.name
        slots = _slots(regimen, product)
        one_by_one = product not in known and not all(_usual(regimen, product, slot) for slot in slots)
        if product not in starts:
            starts[product] = 0
            if apart and one_by_one:
                starts[product] = turn
                turn += apart
        if wish.after is not None:
            starts[product] = max(starts[product], wish.after)
    return starts


def _stretches(regimen: Regimen, starts: dict[str, int]) -> tuple[Stretch, ...]:
    turns = {0, *starts.values()}
    for wish in regimen.wishes:
        if wish.product is not None:
            day = starts[wish.product.name]
            for stage in wish.ramp:
                if stage.lasts is not None:
                    day += stage.lasts
                    turns.add(day)
    ordered = sorted(turns)
    return tuple(
        Stretch(start, None if after is None else after - start)
        for start, after in zip(ordered, [*ordered[1:], None], strict=True)
    )


def _said(regimen: Regimen) -> dict[str, str]:
    """The words of each wish, by its name."""
    said: dict[str, str] = {}
    for number, wish in enumerate(regimen.wishes, 1):
        if wish.product is not None:
            for often in wish.often:
                said[f"wish {number} {often.counted}"] = f"{wish.product.name}: {often.counted} {rate_text(often)}"
            if wish.ramp:
                said[f"wish {number} ramp"] = f"{wish.product.name}: its ramp"
            if wish.after is not None:
                said[f"wish {number} after"] = f"{wish.product.name}: after {wish.after} days"
            for name in wish.not_before:
                said[f"wish {number} not before {name.name}"] = f"{wish.product.name}: not before {name.name}"
        for name in wish.keep_free:
            said[f"wish {number} {name.name}"] = f"keep free: {name.name}"
        if wish.introduce is not None:
            said["introduce"] = f"new products {wish.introduce} days apart"
    return said


# --- the puzzle of one stretch ---


def set_puzzle(wanted: Wanted, stretch: Stretch, length: int, world: World) -> Puzzle:
    """The wishes in force in a stretch, for a cycle of this length.  Raises :class:`WishError`."""
    regimen = wanted.regimen
    demands: list[Demand] = []
    likings: list[Liking] = []
    facts: list[Fact] = []
    banned: dict[int, set[int]] = {}
    for number, wish in enumerate(regimen.wishes, 1):
        for name in wish.keep_free:
            for item, one in enumerate(wanted.items):
                days = _kept_free(name, one.slot, length, regimen.starts)
                if days and one.fixed is None:
                    facts.append(Ban(f"wish {number} {name.name}", item, days))
                    banned.setdefault(item, set()).update(days)
    for number, wish in enumerate(regimen.wishes, 1):
        if wish.product is None:
            continue
        product = wish.product.name
        mine = [item for item, one in enumerate(wanted.items) if one.product == product]
        level = (wish.priority - 1) if wish.priority else UNSTATED
        start = wanted.starts[product]
        if stretch.start < start:
            waits = "introduce" if any(other.introduce for other in regimen.wishes) else f"wish {number} after"
            facts += [Ban(waits, item) for item in mine]
            continue
        stage, ramped = _stage(regimen, product, stretch.start - start)
        if stage is not None and ramped == number:
            demands.append(_demand(f"wish {number} ramp", mine, stage, length, level, banned, usual=False))
        for often in wish.often if stage is None or stage.lasts is None else ():
            slots = SLOTS.get(often.counted, ANY_SLOT)
            items = [item for item in mine if wanted.items[item].slot in slots]
            usual = often.per_days == often.least == 1
            demands.append(_demand(f"wish {number} {often.counted}", items, often, length, level, banned, usual=usual))
            if often.counted == "days":
                facts += [Clash(f"wish {number} days", one, two, 0) for one in items for two in items if one < two]
        for name in wish.not_before:
            facts += _not_before(f"wish {number} not before {name.name}", wanted, mine, meant(regimen, world, name, product))
        likings += _likings(wanted, wish.prefer, mine, length, world)
    return Puzzle(length, _at_length(wanted.items, length), tuple(demands), tuple(likings), tuple(facts))


def _at_length(items: tuple[Item, ...], length: int) -> tuple[Item, ...]:
    from dermalint_grammar.record import replace

    whole = {item.fixed for item in items if item.fixed is not None}
    if all(len(fixed) in (0, max(fixed, default=-1) + 1) for fixed in whole):  # on every day, whatever the cycle
        return tuple(item if item.fixed is None else replace(item, fixed=frozenset(range(length))) for item in items)
    return items


def _kept_free(name: Mention, slot: str, length: int, starts: date | None) -> frozenset[int]:
    weekday, number, named = free_of(name.name) or (None, None, None)
    if named is not None and named != slot:
        return frozenset()
    if number is not None and number <= length:
        first = starts.weekday() if starts is not None and length == 7 else 0
        return frozenset({(number - 1 + first) % length})
    if number is not None:
        return frozenset()
    return frozenset(range(length)) if weekday is None else frozenset({weekday - 1})


def _stage(regimen: Regimen, product: str, day: int) -> tuple[Stage | None, int]:
    for number, wish in _of(regimen, product):
        begun = 0
        for stage in wish.ramp:
            if stage.lasts is None or day < begun + stage.lasts:
                return stage, number
            begun += stage.lasts
    return None, 0


def _demand(
    name: str, items: list[int], rate: Often | Stage, length: int, level: int, banned: dict[int, set[int]], *, usual: bool
) -> Demand:
    per = rate.per_days or length
    least, most = -(-rate.least * length // per), rate.most * length // per
    if usual:
        least = most = sum(length - len(banned.get(item, ())) for item in items)
    if least <= most:
        return Demand(name, tuple(items), least, most, level)
    return Demand(name, tuple(items), most, least, level, never=True)


def meant(regimen: Regimen, world: World, name: Mention, but: str) -> list[str]:
    """The products that a name means: a product's key, or what products contain and are.  Raises :class:`WishError`."""
    if name.name in regimen.products:
        return [name.name]
    answers = {key: frozenset(read_contents(product, world).certain) for key, product in regimen.products.items()}
    found = [key for key, words in answers.items() if name.name in words and key != but]
    if not found:
        known = {*regimen.products, *(word for words in answers.values() for word in words)}
        near = nearest(name.name, known)
        hint = f"Did you mean `{near}`?" if near else "Name a product, or what it contains, such as `retinoid`."
        raise WishError(f"No product of this file is, or contains, `{name.name}`.", hint, name.place)
    return found


_ORDER = {"morning": 0, "midday": 1, "afternoon": 2, "evening": 3}


def _not_before(name: str, wanted: Wanted, mine: list[int], others: list[str]) -> Iterable[Fact]:
    """The other must not come later in the same day, in the same routine, or on the next day."""
    for item in mine:
        for other, one in enumerate(wanted.items):
            if one.product in others:
                yield Clash(name, item, other, 1)
                if _ORDER[one.slot] >= _ORDER[wanted.items[item].slot]:
                    yield Clash(name, item, other, 0)


def _likings(wanted: Wanted, prefer: tuple[Mention, ...], mine: list[int], length: int, world: World) -> list[Liking]:
    found: list[Liking] = []
    days: set[int] = set()
    for name in prefer:
        words = [word for word in re.split(r"[ ,]+|\bor\b|\band\b", name.name) if word]
        if words and all(word in WEEKDAYS for word in words):
            days |= {WEEKDAYS.index(word) for word in words}
            continue
        if len(words) > 1 and words[0] == "not" and all(word in WEEKDAYS for word in words[1:]):
            good = frozenset(range(length)) - {WEEKDAYS.index(word) for word in words[1:]}
            found += [Liking(item, days=good) for item in mine]
            continue
        match = _PREFER.fullmatch(name.name)
        if match is None:
            raise WishError(
                f"`prefer: {name.name}` is not understood.",
                "Write weekdays, or like `the evening before a rest`, `not with lactic-lotion`, `the day after night-cream`.",
                name.place,
            )
        off = {"before": 1, "after": -1, "with": 0}[match[2]]
        if _REST.fullmatch(match[3]):
            rotating = tuple(number for number, one in enumerate(wanted.items) if not one.usual)
            found += [Liking(item, None, rotating, off, near=bool(match[1])) for item in mine]
        else:
            products = meant(wanted.regimen, world, Mention(match[3], name.place), "")
            others = tuple(number for number, one in enumerate(wanted.items) if one.product in products)
            found += [Liking(item, None, others, off, near=not match[1]) for item in mine]
    if days:
        found += [Liking(item, days=frozenset(days)) for item in mine]
    return found


def near_plan(wanted: Wanted, near: Regimen, length: int) -> Plan | None:
    """The days on which the items stand in the last phase of another regimen; None where its cycle is another one."""
    phase = near.phases[-1] if near.phases else None
    if phase is None or phase.cycle != length:
        return None
    plan = []
    for item in wanted.items:
        days: set[int] = set()
        for routine in phase.routines:
            names = {product.name for step in routine.steps if isinstance(step, ApplyStep) for product in step.products}
            if routine.slot.name == item.slot and item.product in names and not routine.dates:
                days |= days_of(routine, length, near.starts)
        plan.append(frozenset(days))
    return tuple(plan)
