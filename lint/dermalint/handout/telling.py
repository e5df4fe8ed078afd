"""A hand-out told in a language."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from dermalint.handout import said
from dermalint.handout.amounts import sunscreen_for_face_and_neck
from dermalint.handout.language import Language, titles
from dermalint.handout.names import EVENTS, SLOTS
from dermalint.handout.patch_tests import ASK, DAYS, DONE, LEAST_DAYS, PatchTest
from dermalint.handout.plan import HandOut, Remark, Step
from dermalint.handout.sheet import Item, Section, Sheet
from dermalint.handout.telling_days import glance, product_name, routine_lines, routine_name
from dermalint.handout.telling_products import product_sections
from dermalint.regimen.amounts import GROWN_UP, Span, read_amount, weigh

# The rules' own words stay in the language of their packs.
RULES_SPEAK = "en"


def tell(plan: HandOut, language: Language, packages: Mapping[str, int] | None = None) -> Sheet:
    """The hand-out as sentences; ``packages`` are contents in milligrams by product."""
    t = language.t
    lines = []
    if plan.person:
        lines.append(t("For %(person)s.", person=language.own(plan.person)))
    if plan.about:
        lines.append(language.own(plan.about))
    if plan.starts:
        lines.append(t("First day: %(date)s.", date=language.day(plan.starts)))
    sections = [
        *_avoid(plan, language),
        *(glance(plan, phase, language) for phase in plan.phases),
        *(_routine(plan, number, language) for number in range(len(plan.routines))),
        *_apart(plan, language),
        *_happenings(plan, language),
        *_tests(plan, language),
        *_feeling(language),
        *_remarks(plan, language),
        *product_sections(plan, language, packages or {}),
    ]
    return Sheet(
        language.code,
        language.direction,
        language.own(plan.title),
        tuple(lines),
        tuple(sections),
        t("Please note"),
        t(
            "For education, no medical advice. If it burns, swells or blisters: stop and rinse. Ask a dermatologist, "
            "pharmacist or midwife before changing a prescription, in pregnancy, for a child, or for a reaction that lasts. "
            "Follow the product's own label and local law."
        ),
        language.named("", ""),
    )


def _avoid(plan: HandOut, language: Language) -> Iterator[Section]:
    if plan.avoid:
        lead = language.t("The rules object to this plan. Talk about these points before anybody uses it.")
        yield Section("avoid", language.t("Not to be used as it stands"), _foreign(lead, language),
                      items=tuple(_remark(remark, language) for remark in plan.avoid), tone="avoid")  # fmt: skip


def _foreign(lead: str, language: Language) -> tuple[str, ...]:
    if language.code.partition("_")[0] == RULES_SPEAK:
        return (lead,)
    return (lead, language.t("What the rules say is in English."))


def _remark(remark: Remark, language: Language) -> Item:
    foreign = None if language.code.partition("_")[0] == RULES_SPEAK else RULES_SPEAK
    return Item(language.own(remark.message), (language.own(remark.advise),) if remark.advise else (), foreign)


def _routine(plan: HandOut, number: int, language: Language) -> Section:
    routine = plan.routines[number]
    last = max((place for place, step in enumerate(routine.steps) if step.products), default=-1)
    items = tuple(_step(plan, step, place == last, language) for place, step in enumerate(routine.steps))
    lines = routine_lines(plan, routine, language)
    return Section(f"routine-{number + 1}", routine_name(routine, language), lines, items=items, numbered=True, tone="routine")


def _step(plan: HandOut, step: Step, last: bool, language: Language) -> Item:
    t = language.t
    if not step.products:
        if step.minutes is None:
            return Item(t("Wait until the skin is dry."))
        return Item(_begun(t("Wait %(time)s.", time=said.duration(language, step.minutes))))
    names = [product_name(plan, key, language) for key in step.products]
    text = names[0] if len(names) == 1 else t("Mix in the palm: %(products)s", products=language.listed(names))
    return Item(text, tuple(_details(plan, step, last, language)))


def _details(plan: HandOut, step: Step, last: bool, language: Language) -> Iterator[str]:
    t = language.t
    if step.amount:
        yield t("How much: %(amount)s.", amount=said.amount(language, step.amount, plan.regimen.person))
    yield t("Where: %(areas)s.", areas=said.areas(language, step.areas))
    if step.without:
        yield t("Not here: %(areas)s.", areas=said.areas(language, step.without))
    if step.skin == "damp":
        yield t("On damp skin.")
    elif step.skin == "dry":
        yield t("On dry skin.")
    if step.contact == "rinsed":
        if step.contact_minutes:
            yield t("Rinse it off after %(time)s.", time=said.duration(language, step.contact_minutes))
        else:
            yield t("Rinse it off.")
    elif step.contact == "timed":
        if step.contact_minutes:
            yield t("Take it off after %(time)s.", time=said.duration(language, step.contact_minutes))
        else:
            yield t("Take it off after the time on its label.")
    if step.as_needed:
        yield t("Only when it is needed.")
    if step.at_most:
        yield language.n("At most once a day.", "At most %(count)s times a day.", step.at_most)
    if step.sunscreen:
        yield from _sunscreen(plan, step, last, language)
    if step.again_minutes:
        again = said.duration(language, step.again_minutes)
        if step.again_until is not None:
            yield t("Again until %(until)s, %(time)s apart.", time=again, until=language.clock(step.again_until))
        else:
            yield t("Again until bedtime, %(time)s apart.", time=again)


def _sunscreen(plan: HandOut, step: Step, last: bool, language: Language) -> Iterator[str]:
    t = language.t
    if last:
        yield t("Sunscreen comes last.")
    on_face = "face" in step.areas
    age = plan.regimen.person.age_months
    if on_face and (age is None or age >= GROWN_UP):
        dose = sunscreen_for_face_and_neck()
        grams = said.weight(language, Span(dose, dose))
        stated = read_amount(step.amount)
        if stated is None:
            yield t(
                "Be generous: face and neck take about %(grams)s, three strips as long as the top joint of the index finger.",
                grams=grams,
            )
        elif weigh(stated, plan.regimen.person).most < dose:
            yield t(
                "Rather more than less: the factor on the label was tested with an amount that is about %(grams)s "
                "for face and neck.",
                grams=grams,
            )
    if on_face:
        yield t("Remember the ears and the neck.")
    if not step.again_minutes:
        yield t("Outdoors again at least every two hours, and straight after swimming, sweating or towelling.")


def _apart(plan: HandOut, language: Language) -> Iterator[Section]:
    if not plan.apart:
        return
    foreign = None if language.code.partition("_")[0] == RULES_SPEAK else RULES_SPEAK
    items = []
    for apart in plan.apart:
        names = language.listed(product_name(plan, key, language) for key in apart.products)
        items.append(Item(names))
        if apart.why:
            items[-1:] = [Item(names, (language.own(apart.why),), foreign)]
    lead = language.t("These stay out of one and the same routine; please do not swap them about.")
    yield Section("apart", language.t("Not together"), _foreign(lead, language), items=tuple(items))


def _happenings(plan: HandOut, language: Language) -> Iterator[Section]:
    if not plan.happenings:
        return
    t = language.t
    items = []
    for event in plan.happenings:
        details = []
        if event.on:
            details.append(f"{language.day(event.on)}.")
        if event.every:
            details.append(language.n("Every day.", "Every %(count)s days.", event.every))
        if event.times:
            details.append(language.n("Once.", "%(count)s times.", event.times))
        if event.slot:
            details.append(f"{titles(SLOTS, language, event.slot)}.")
        if event.at is not None:
            details.append(t("At %(time)s.", time=language.clock(event.at)))
        if event.areas:
            details.append(t("Where: %(areas)s.", areas=said.areas(language, event.areas)))
        items.append(Item(_begun(titles(EVENTS, language, event.name)), tuple(details)))
    yield Section("dates", t("Other dates"), items=tuple(items))


def _tests(plan: HandOut, language: Language) -> Iterator[Section]:
    t = language.t
    how = t(
        "How: twice a day on a spot as small as a coin, on the underside of the forearm, for %(least)s to %(most)s days. "
        "What is rinsed off in use stays on for about five minutes.",
        least=language.number(LEAST_DAYS),
        most=language.number(DAYS),
    )
    stop = t("If the spot itches, swells, blisters or stays red: wash it off, do not begin, and ask.")
    if not plan.history_known:
        lead = t("Is one of these products new to you? Then try it on a small spot first.")
        yield Section("tests", t("Before the first use"), (lead, how, stop))
        return
    if not plan.tests:
        return
    items = tuple(_test(plan, test, language) for test in plan.tests)
    lines = (how, stop) if any(test.state not in (DONE, ASK) for test in plan.tests) else ()
    yield Section("tests", t("Before the first use"), lines, items=items)


def _test(plan: HandOut, test: PatchTest, language: Language) -> Item:
    t = language.t
    name = product_name(plan, test.product, language)
    details = []
    if test.state == DONE:
        text = t("%(product)s: has been tried on a small spot.", product=name)
        if test.first:
            details.append(t("From %(date)s.", date=language.day(test.first)))
        if test.hours:
            details.append(t("For %(time)s.", time=said.duration(language, 60 * test.hours)))
        if test.areas:
            details.append(t("Where: %(areas)s.", areas=said.areas(language, test.areas)))
        reactions = {
            "none": t("No reaction was seen."),
            "mild": t("A mild reaction was seen: ask before you begin."),
            "strong": t("A strong reaction was seen: do not begin, and ask."),
        }
        details += [reactions[test.reaction]] if test.reaction in reactions else []
        return Item(text, tuple(details))
    first = language.number((test.first_use or 0) + 1)
    when = language.day(_day(plan, test.first_use or 0)) if plan.starts else ""
    begins = t("First use: %(date)s.", date=when) if when else t("First use: day %(number)s.", number=first)
    if test.state == ASK:
        text = t("%(product)s: ask whoever advised it whether and how to try it first.", product=name)
        return Item(text, (begins,))
    text = t("%(product)s: try it on a small spot first.", product=name)
    if test.first and test.last:
        span = t("Test from %(first)s to %(last)s.", first=language.day(test.first), last=language.day(test.last))
    else:
        span = language.n("Begin the test one day before.", "Begin the test %(count)s days before.", DAYS)
    return Item(text, (span, begins))


def _feeling(language: Language) -> Sequence[Section]:
    t = language.t
    return (
        Section(
            "normal",
            t("What is normal"),
            items=(
                Item(t("A little warmth or tingling that is gone within a few minutes.")),
                Item(t("A little dryness or fine flaking in the first weeks. If it bothers you, ask how to go on.")),
            ),
        ),
        Section(
            "stop",
            t("Stop and rinse"),
            (t("If one of these happens, rinse with plenty of lukewarm water and put on no more of it until you have asked:"),),
            items=(
                Item(t("It burns, or it stings and does not stop.")),
                Item(t("The skin swells, blisters or weeps.")),
                Item(t("A rash spreads, or the eyes are red or hurt.")),
                Item(t("If breathing is hard, or the lips or the tongue swell: call the emergency number at once.")),
                Item(t("Was the medicine prescribed? Call whoever prescribed it, and ask how to go on with it.")),
            ),
            tone="stop",
        ),
        Section(
            "ask",
            t("Whom to ask"),
            (
                t(
                    "A dermatologist or a pharmacist; in pregnancy also the midwife; for a child the children's doctor. "
                    "Take this page along."
                ),
            ),
        ),
    )


def _remarks(plan: HandOut, language: Language) -> Iterator[Section]:
    if plan.remarks:
        lead = language.t("These remarks of the rules concern your plan. Talk about them when you next can.")
        yield Section("remarks", language.t("Please keep in mind"), _foreign(lead, language),
                      items=tuple(_remark(remark, language) for remark in plan.remarks))  # fmt: skip


def _begun(text: str) -> str:
    """A text that begins with a capital."""
    return text[:1].upper() + text[1:]


def _day(plan: HandOut, day: int) -> date:
    assert plan.starts is not None
    return plan.starts + timedelta(days=day)
