"""Packs that are consistent because one week keeps all of their rules, which it was made before them."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

SLOTS = ("morning", "midday", "afternoon", "evening")
# Of these no two are in one family, and none is a kind of another.
MATTER = (
    "retinol", "glycolic-acid", "niacinamide", "azelaic-acid", "hydroquinone", "benzoyl-peroxide", "minoxidil", "caffeine",
    "urea", "panthenol", "squalane",
)  # fmt: skip
KINDS = ("toner", "essence", "serum", "moisturiser", "sunscreen")


@dataclass(frozen=True)
class Use:
    """A product of the week: in which slots, and on which days."""

    name: str
    slots: tuple[str, ...]
    days: tuple[int, ...]


def week(random: Random) -> list[Use]:
    """Products in the order in which every routine has them."""
    names = [*random.sample(MATTER, random.randint(2, 4)), *random.sample(KINDS, random.randint(1, 3))]
    random.shuffle(names)
    uses = []
    for name in names:
        slots = tuple(sorted(random.sample(SLOTS, random.choice((1, 1, 1, 2))), key=SLOTS.index))
        days = tuple(sorted(random.sample(range(1, 8), random.choice((1, 2, 3, 4, 7)))))
        uses.append(Use(name, slots, days))
    return uses


def rules_for(random: Random, uses: list[Use]) -> list[str]:
    """Sentences that the week keeps; of each sort and product at most one, so that none implies another."""
    said: list[str] = []
    told: set[tuple[str, str]] = set()

    def say(sort: str, name: str, sentence: str) -> None:
        if (sort, name) not in told:
            told.add((sort, name))
            said.append(sentence)

    for one in random.sample(uses, len(uses)):
        choice = random.randrange(6)
        if choice == 0 and len(one.slots) < 3:
            say("slots", one.name, f"use {one.name} only in the {' or '.join(one.slots)}.")
        elif choice == 1 and len(one.days) < 6:
            say(
                "count",
                one.name,
                f"use {one.name} at most {len(one.days) + random.randint(0, 6 - len(one.days))} days per week.",
            )
        elif choice == 2 and len(one.days) > 1:
            say("count", one.name, f"use {one.name} at least {random.randint(1, len(one.days))} days per week.")
        elif choice == 3 and one.name in MATTER:
            say("limit", one.name, f"limit strength of {one.name} to at most {random.choice(('0.5', '2', '5', '10'))} %.")
        elif choice == 4 and len(one.days) == 7:
            say("daily", one.name, f"expect {one.name} in every {random.choice(one.slots)}.")
    for place, one in enumerate(uses):
        for later in uses[place + 1 :]:
            both = [(day, slot) for day in one.days for slot in one.slots if day in later.days and slot in later.slots]
            pair = f"{one.name} {later.name}"
            always = len(both) == len(one.days) * len(one.slots)
            choice = random.randrange(5)
            if choice == 0:
                say("order", pair, f"apply {one.name} before {later.name}.")
            elif choice == 1 and always:
                say("pair", pair, f"after {one.name} expect {later.name} in the same routine.")
            elif choice == 2 and not both:
                say("pair", pair, f"separate {one.name} from {later.name} by routine.")
            elif choice == 3 and not set(one.days) & set(later.days):
                say("pair", pair, f"separate {later.name} from {one.name} by day.")
            elif choice == 4 and always:
                say("pair", pair, f"expect {later.name} in every routine that has {one.name}.")
    return said


def pack(random: Random, uses: list[Use] | None = None) -> str:
    """The text of a pack, without its head; empty where no rule came of the week."""
    lines = []
    for number, sentence in enumerate(rules_for(random, uses or week(random))):
        condition = random.choice((" if person is sensitive", " if age at least 18 years", " if region is eu", "", "", ""))
        sentence = f"{sentence[:-1]}{condition}."
        lines.append(f"rule r{number} {random.choice(('caution', 'advice'))}\n  {sentence}\n")
    return "".join(lines)
