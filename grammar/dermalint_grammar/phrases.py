"""Valid sentences and turns of phrase that messages are made of."""

from __future__ import annotations

import re
from typing import NamedTuple

SEPARATE = "separate strong-acid from retinoid by routine"
AROUND = "separate strong-acid from event waxing by 7 days before and 2 days after"
USES = "separate uses of strong-acid by 2 days"
BEFORE = "apply serum before moisturiser"
WAIT = "wait 10 minutes after strong-acid before moisturiser"
ONLY = "use retinoid only in the evening"
NEVER = "never use retinoid in the morning"
COUNT = "use strong-acid at most 3 evenings per week"
PRODUCTS = "use at most 2 products of strong-acid per routine"
COURSE = "use hydroquinone for at most 8 weeks"
AFTER = "after retinoid expect sunscreen every morning for 7 days"
PATCH = "before first use of retinoid expect patch-test of retinoid at least 24 hours ahead"
EVERY = "expect sunscreen in every morning"
RENEW = "in daylight expect sunscreen every 2 hours"
LIMIT = "limit strength of salicylic-acid to at most 2 %"
TERM = "strong-acid on face with strength at least 5 %"
RULE = f"rule acid-off-retinoid caution {SEPARATE}."
IF = "if person is pregnant"
HAS = "if routine has retinoid"
WITHIN = "if within 24 hours after event microneedling"
AHEAD = "if before event waxing within 7 days"
DURING = "during the first 2 weeks of retinoid"
RESTART = "during the first 8 weeks of retinoid after a pause of 3 weeks"
EXAMPLE = "breaks monday evening: glycolic-acid 7 %, retinol 0.3 %"
STEP = "breaks evening: glycolic-acid 7 % (toner, ph 3.6), wait 10 minutes, moisturiser"
GIVEN = "breaks person pregnant, age 30 years: evening: retinol 0.3 %"
ON_DAY = "breaks day 1 evening: retinol 0.3 %; event waxing on day 3"
SUBSTANCE = 'substance glycolic-acid inci "Glycolic Acid" cas 79-14-1 in alpha-hydroxy-acid'
GROUP = "group strong-acid means alpha-hydroxy-acid with strength at least 5 %."
AREA = "area face contains forehead, cheeks, chin."

TIME = "a length of time, such as `10 minutes`"
NAME = "a name"
TERMS = "a product's name: a substance, family, group or kind"
CONDITION = "a condition, such as `person is pregnant` or `routine has retinoid`"
SLOT = "a time of day, such as `evening`"
QUOTED = "a text in quotation marks"

DECLARATION = (
    "the next declaration or rule: `substance`, `family`, `group`, `kind`, `base`, `area`, `event`, `trait`, `symptom`, "
    "`allergy`, "
    "`reason`, `region`, `slot`, `measure` or `rule`"
)

REQUIREMENT = (
    "what it requires: `separate`, `apply`, `wait`, `use`, `never use`, `after`, `before`, `expect`, `in daylight` or `limit`"
)
NOTES = "a note: `topic`, `why`, `advise`, `source`, `disputed`, `review-by`, `breaks` or `holds`; or the next rule"


class Construct(NamedTuple):
    """One place in the language: ``after`` is what was read (empty at a beginning), ``expected`` what comes next."""

    pattern: re.Pattern[str]
    after: str
    expected: str
    example: str


def at(pattern: str, after: str, expected: str, example: str) -> Construct:
    return Construct(re.compile(rf"(?:^| ){pattern}$"), after, expected, example)
