"""What a change is, in a sentence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable

from dermalint.mend.plan import WEEK, Placed, Plan, applications, whole
from dermalint.regimen.days import WEEKDAYS


def listed(names: Iterable[str]) -> str:
    """``a, b and c``."""
    found = list(names)
    return " and ".join([", ".join(found[:-1]), found[-1]] if len(found) > 1 else found)


def when(plan: Plan, phase: int, days: Collection[int], slot: str) -> str:
    """Days of a slot: ``every evening``, ``Monday and Thursday evening``, ``the evening of day 2``; of which phase."""
    behind = f" of phase {phase + 1}" if len(plan.cycles) > 1 else ""
    spoken = slot.replace("-", " ")
    if frozenset(days) == whole(plan, phase):
        return f"every {spoken}{behind}"
    if plan.cycles[phase] == WEEK:
        first = plan.first_weekdays[phase]
        names = (WEEKDAYS[(first + day - 1) % WEEK].capitalize() for day in in_week(plan, phase, days))
        return f"{listed(names)} {spoken}{behind}"
    numbers = listed(str(day) for day in sorted(days))
    return f"the {spoken} of day{'s' if len(days) > 1 else ''} {numbers}{behind}"


def span(days: int) -> str:
    """A number of days as a file says it: ``8 weeks``, ``1 week``, ``10 days``."""
    number, unit = (days // WEEK, "week") if days % WEEK == 0 else (days, "day")
    return f"{number} {unit}{'' if number == 1 else 's'}"


def on(said: str) -> str:
    """What :func:`when` says, behind a verb: ``every evening``, ``on Monday evening``."""
    return said if said.startswith("every ") else f"on {said}"


def leave_out_on(said: str) -> str:
    """``leave it out on Monday evening``."""
    return f"leave it out {on(said)}"


def in_week(plan: Plan, phase: int, days: Collection[int]) -> list[int]:
    """Days as a calendar week has them, Monday first."""
    first = plan.first_weekdays[phase]
    return sorted(days, key=lambda day: (first + day - 1) % WEEK)


def told(before: Plan, after: Plan) -> str | None:
    """What a change of days and slots is, product by product; None where the cycle changes, too."""
    if before.cycles != after.cycles:
        return None
    one, other = applications(before, before.cycles), applications(after, after.cycles)
    gone, come = one - other, other - one
    sentences: list[str] = []
    for phase, product in dict.fromkeys((phase, product) for phase, _, _, product in (*gone, *come)):
        off, come_on = (_spoken(before, part, phase, product) for part in (gone, come))
        if any(day == 0 for number, day, _, name in (*gone, *come) if (number, name) == (phase, product)):
            return None
        sentences.append(_sentence(product, off, come_on, _number(gone, phase, product), _number(come, phase, product)))
    return " ".join(sentences) or None


def _sentence(product: str, off: list[str], come_on: list[str], gone: int, come: int) -> str:
    onto = listed(on(said) for said in come_on)
    if not gone:
        return f"Add {product} {onto}."
    if not come:
        return f"Use {product} less often: leave it out {listed(on(said) for said in off)}."
    if gone == come:
        return f"Move {product} from {listed(off)} to {listed(come_on)}."
    return f"Use {product} less often: {onto} instead of {listed(off)}."


def _number(placed: Counter[Placed], phase: int, product: str) -> int:
    return sum(count for (number, _, _, name), count in placed.items() if (number, name) == (phase, product))


def _spoken(plan: Plan, placed: Counter[Placed], phase: int, product: str) -> list[str]:
    slots: dict[str, set[int]] = {}
    for number, day, slot, name in placed:
        if (number, name) == (phase, product):
            slots.setdefault(slot, set()).add(day)
    return [when(plan, phase, slots[slot], slot) for slot in slots]
