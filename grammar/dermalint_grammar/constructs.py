"""What comes where in the language: for each place in a sentence, what was read, what comes next, and a valid example.

A place is described by the shape of what was read (``shapes.describe_shape``): words stand for themselves, ``N`` for a name
or term, ``C`` for a condition, ``T`` for a length of time, ``X`` for a quantity, ``#`` for a number, ``"`` for a text, ``S``
for how strongly a rule speaks, ``cmp`` for ``at least`` and its like.  The first entry whose pattern matches the end of the
shape is the place.
"""

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


def _at(pattern: str, after: str, expected: str, example: str) -> Construct:
    return Construct(re.compile(rf"(?:^| ){pattern}$"), after, expected, example)


CONSTRUCTS = (
    # The ends of sentences.
    _at(r"(?:means|area|contains|overlaps) N \.", "the full stop", DECLARATION, SUBSTANCE),
    _at(r"(?:sentence|\.)", "a rule's sentence", NOTES, RULE),
    _at(
        r"by T (?:before and T )?(?:before|after)",
        "how far apart",
        "a clause, such as `if` or `unless`, or the full stop",
        AROUND,
    ),
    # Examples.
    _at(r"(?:breaks|holds)", "`breaks` or `holds`", "an example: a time of day, a colon and the steps", EXAMPLE),
    _at(r"given", "what is given", "a time of day, a colon and the steps", GIVEN),
    _at(
        r"(?:breaks|holds|given) (?:as-of D|region N|for T|cycle T)",
        "what is given",
        "a colon",
        "breaks region eu: evening: retinol 0.3 %",
    ),
    _at(
        r"(?:breaks|holds|given) as-of",
        "`as-of`",
        "a date: year, month and day",
        "breaks as-of 2027-06-01: evening: retinol 0.3 %",
    ),
    _at(
        r"(?:breaks|holds|given) (for|cycle)",
        r"`\1`",
        "a length of time and a colon",
        r"breaks \1 4 weeks: day 1 evening: retinol 0.3 %",
    ),
    _at(
        r"(?:breaks|holds|given) region",
        "`region`",
        "the name of a region and a colon",
        "breaks region eu: evening: retinol 0.3 %",
    ),
    _at(
        r"(?:breaks|holds|given) person(?: fact ,)?",
        "`person` in an example",
        "a fact: a trait, or `age`, `takes`, `allergic to`, `reason`, `phototype`",
        GIVEN,
    ),
    _at(
        r"person (?:fact , )?(?:N|fact|age T|takes N|allergic to N|reason N|phototype #)",
        "a fact about the person",
        "a comma and another one, or a colon",
        GIVEN,
    ),
    _at(r"(?:breaks|holds|given) person (?:fact , )?age", "`age` in an example", "a length of time, such as `30 years`", GIVEN),
    _at(r"(?:breaks|holds|given) person (?:fact , )?phototype", "`phototype` in an example", "a number from 1 to 6", GIVEN),
    _at(r"(?:breaks|holds|given) person (?:fact , )?(takes|reason)", r"`\1`", "a name", GIVEN),
    _at(
        r"(?:person|fact ,) allergic(?: to)?",
        "`allergic`",
        "`to` and the name of an allergy",
        "breaks person allergic to aspirin: evening: retinol 0.3 %",
    ),
    _at(r"(?:breaks|holds|part|given|;) \w+day", "a weekday", "a time of day and a colon", EXAMPLE),
    _at(r"when", "the day of an example", "a time of day and a colon", EXAMPLE),
    _at(r"on day", "`on day`", "the number of the day", ON_DAY),
    _at(r"(?:breaks|holds|part|given|;) day", "`day` in an example", "the number of the day, then a time of day", ON_DAY),
    _at(r"(?:breaks|holds|part|given|;) event", "`event`", "the name of an event, then `on day` and a number", ON_DAY),
    _at(r"(?:breaks|holds|part|given|;) event N", "an event", "`on day` and its number", ON_DAY),
    _at(r"event N on", "`event … on`", "`day` and its number", ON_DAY),
    _at(r"(?:breaks|holds|part|given|;|when) N", "a time of day", "a colon, then the steps", EXAMPLE),
    _at(r";", "the semicolon", "another routine of the example: a time of day and a colon", EXAMPLE),
    _at(r":", "the colon", "the first step: a substance or kind, or `wait 10 minutes`", STEP),
    _at(r"step ,", "the comma", "the next step: a substance or kind, or `wait 10 minutes`", STEP),
    _at(r"(?:step ,|:) N #", "a step's name and a number", "`%`, for the number is the strength", STEP),
    _at(
        r"[N%] \(", "the opening bracket", "a remark such as `on lips`, `ph 3.5`, `base oil`, `rinsed` or `used 3 months`", STEP
    ),
    _at(r"remark ,", "the comma", "another remark, such as `on lips`, `ph 3.5` or `base oil`", STEP),
    _at(r"remark", "a remark", "a comma and another one, or the closing bracket", STEP),
    _at(r"(?:used|timed)", "`used` or `timed`", "a length of time", "breaks evening: retinol 0.3 % (used 3 months)"),
    _at(
        r"(?:step|part|(?:step ,|:) N(?: # %)?)",
        "a step",
        "a comma and the next step, a semicolon and the next routine, or the end of the example",
        STEP,
    ),
    # Inside terms.
    _at(r'(?:substance N(?: property| note)?|family N ") in', "`in`", "the name of a family", SUBSTANCE),
    _at(r"file", "`file`", QUOTED, 'breaks file "examples/ramp.regimen.yaml"'),
    _at(r"(?:[N%] \(|remark ,) on", "`on`", "the name of an area, such as `lips`", STEP),
    _at(r"(?:[N%] \(|remark ,) base", "`base`", "the name of a base, such as `oil`", STEP),
    _at(r'(?:sort|measure|family) N "(?: adds| in N)?', "a declaration", DECLARATION, SUBSTANCE),
    _at(r"N with", "`A with`", "what is measured: `strength`, `ph`, `spf` or another measure", TERM),
    _at(r"N with N", "`A with` and a measure", "`at least`, `at most`, `above` or `below`", TERM),
    _at(r"(?:N with N|age|phototype|for|to|use|reach) at", "`at`", "`least` or `most`", "at least 5 %"),
    _at(r"N with N cmp", "`A with` a measure and `at least`", "the number, with `%` for a strength", TERM),
    _at(r"N on", "`A on`", "the name of an area, such as `face`", "strong-acid on face"),
    _at(r"base", "`base`", "the name of a base, such as `oil`", "base oil"),
    _at(r"event", "`event`", "the name of an event, such as `waxing`", "event waxing"),
    _at(r"any", "`any`", "`product`", "separate any product from minoxidil by 2 hours"),
    _at(r"first", "`first`", "`use of` and a product's name", PATCH),
    _at(r"first use", "`first use`", "`of` and a product's name", PATCH),
    _at(r"(?:first use|patch-test) of", "`of`", TERMS, PATCH),
    _at(r"patch-test", "`patch-test`", "`of` and a product's name", PATCH),
    _at(r"mark", "a mark such as `rinsed` or `prescribed`", TERMS, "separate rinsed strong-acid from retinoid by routine"),
    _at(
        r"\( N",
        "an opening bracket and a term",
        "`or`, `and`, `except` or the closing bracket",
        "(glycolic-acid or lactic-acid) on face",
    ),
    _at(
        r"\( C",
        "an opening bracket and a condition",
        "`or`, `and` or the closing bracket",
        "if (person is pregnant or person is breastfeeding)",
    ),
    _at(r"S if", "`if` behind how strongly a rule speaks", "`strict`", "rule acid-off-retinoid advice if strict"),
    # Conditions.
    _at(r"(?:if|unless)", "`if` or `unless`", CONDITION, IF),
    _at(
        r"C (?:or|and)",
        "`or` or `and` between conditions",
        CONDITION,
        "if routine has (retinol or retinal) and person is pregnant",
    ),
    _at(r"(?:if|unless|C or|C and)(?: not| \()+", "`not` or an opening bracket", CONDITION, "if not person is pregnant"),
    _at(r"person", "`person`", "`is`, `has`, `takes` or `took`", "if person has peeling"),
    _at(r"person is", "`person is`", "a trait such as `pregnant`, or `allergic to`", IF),
    _at(r"person is allergic", "`person is allergic`", "`to` and what the allergy is to", "if person is allergic to aspirin"),
    _at(r"person is allergic to", "`person is allergic to`", "the name of an allergy", "if person is allergic to aspirin"),
    _at(r"person has", "`person has`", "the name of a symptom or trait", "if person has peeling"),
    _at(r"person takes", "`person takes`", "the name of a medicine", "if person takes isotretinoin"),
    _at(
        r"person took", "`person took`", "the name of a medicine, then `within`", "if person took isotretinoin within 6 months"
    ),
    _at(
        r"person took N",
        "`person took` and a medicine",
        "`within` and a length of time",
        "if person took isotretinoin within 6 months",
    ),
    _at(r"person took N within", "`person took … within`", TIME, "if person took isotretinoin within 6 months"),
    _at(
        r"(?:if|unless|C or|C and|not|\() (?:reason|region|skin)",
        "`reason`, `region` or `skin`",
        "`is` and a name",
        "if region is eu",
    ),
    _at(r"(?:reason|region|skin) is", "`is`", NAME, "if region is eu"),
    _at(r"age", "`age`", "`at least`, `at most`, `above` or `below`, and a length of time", "if age below 12 years"),
    _at(r"age cmp", "`age` and its comparison", "a length of time, such as `12 years`", "if age below 12 years"),
    _at(r"phototype", "`phototype`", "`at least`, `at most`, `above` or `below`, and a number", "if phototype at most 2"),
    _at(r"phototype cmp", "`phototype` and its comparison", "a number from 1 to 6", "if phototype at most 2"),
    _at(
        r"(?:place|(?:if|unless|or|and|not|\() (?:routine|day|regimen))",
        "`routine`, `day` or `regimen` in a condition",
        "`has` and a product's name",
        HAS,
    ),
    _at(r"place has", "`has`", f"{TERMS}; several stand in brackets", "if routine has (retinol or retinal)"),
    _at(r"place has N (?:side|after|before)", "`after` or `before`", TERMS, "if routine has strong-acid after retinoid"),
    _at(r"(?:if|unless|C or|C and|not|\() within", "`within` in a condition", f"{TIME}, and `after`", WITHIN),
    _at(
        r"(?:if|unless|C or|C and|not|\() within T", "`within` and a length of time", "`after` and an event or product", WITHIN
    ),
    _at(r"(?:if|unless|C or|C and|not|\() within T after", "`within … after`", "an event or product", WITHIN),
    _at(r"(?:if|unless|C or|C and|not|\() before", "`before` in a condition", "an event or product, then `within`", AHEAD),
    _at(
        r"(?:if|unless|C or|C and|not|\() before N", "`before` and an event or product", "`within` and a length of time", AHEAD
    ),
    _at(r"(?:if|unless|C or|C and|not|\() before N within", "`before … within`", TIME, AHEAD),
    _at(r"during(?: the)?", "`during`", "`the first` and a length of time", DURING),
    _at(r"during the first", "`during the first`", "a length of time, such as `2 weeks`", DURING),
    _at(r"during the first T", "`during the first` and a length of time", "`of` and a product's name", DURING),
    _at(r"during the first T of", "`during the first … of`", TERMS, DURING),
    _at(r"clause from", "`from` as a clause", "a date: year, month and day", "from 2025-11-01"),
    _at(r"(?:R|apart|reach|C|T|if|unless|or|and) from", "`from` as a clause", "a date: year, month and day", "from 2025-11-01"),
    _at(r"until", "`until`", "a date: year, month and day", "until 2027-05-01"),
    # Other clauses.
    _at(r"suspends(?: Q ,)?", "`suspends`", "the other rule with its pack before it", "suspends acids.acid-off-retinoid"),
    _at(r"assume(?: unknown)?", "`assume`", "`unknown holds` or `unknown breaks`", "assume unknown holds"),
    _at(r"allowing(?: pauses)?(?: of)?", "`allowing`", "`pauses of` and a length of time", "allowing pauses of 10 days"),
    _at(r"counting", "`counting`", "the names of areas, then `as one area`", "counting face as one area"),
    _at(r"counting N(?: as)?(?: one)?", "`counting` and its areas", "`as one area`", "counting face, neck as one area"),
    # Requirements.
    _at(r"separate", "`separate`", f"{TERMS}; or `uses of`", SEPARATE),
    _at(r"separate N", "`separate A`", "`from` and what it is kept apart from", SEPARATE),
    _at(r"separate N from", "`separate A from`", TERMS, SEPARATE),
    _at(r"separate N from N", "`separate A from B`", "`by` and how far apart", SEPARATE),
    _at(r"separate N from N by", "`separate A from B by`", "`routine`, `day` or a length of time", SEPARATE),
    _at(r"by T before and", "`before and`", "a length of time, then `after`", AROUND),
    _at(r"by T before and T", "`before and` and a length of time", "`after`", AROUND),
    _at(r"separate uses", "`separate uses`", "`of` and a product's name", USES),
    _at(r"separate uses of", "`separate uses of`", TERMS, USES),
    _at(r"separate uses of N", "`separate uses of A`", "`by` and a length of time", USES),
    _at(r"separate uses of N by", "`separate uses of A by`", "a length of time, such as `2 days`", USES),
    _at(r"apply", "`apply`", TERMS, BEFORE),
    _at(r"apply N", "`apply A`", "`before`, `then`, `first`, `last` or `directly before`", BEFORE),
    _at(r"apply N before", "`apply A before`", TERMS, BEFORE),
    _at(r"apply N(?: then N)* then", "`then`", TERMS, "apply toner then serum then moisturiser"),
    _at(
        r"apply N directly(?: before)?",
        "`apply A directly`",
        "`before` and a product's name",
        "apply primer directly before sunscreen",
    ),
    _at(
        r"apply N (?:edge|first|last) except",
        "`except`",
        f"{TERMS}; several stand in brackets",
        "apply sunscreen last except make-up",
    ),
    _at(r"wait", "`wait`", TIME, WAIT),
    _at(r"wait T", "`wait` and a length of time", "`after` and a product's name", WAIT),
    _at(r"wait T after", "`wait … after`", TERMS, WAIT),
    _at(r"wait T after N", "`wait … after A`", "`before` and a product's name", WAIT),
    _at(r"wait T after N before", "`wait … after A before`", TERMS, WAIT),
    _at(r"never", "`never`", "`use` and a product's name", NEVER),
    _at(r"never use", "`never use`", TERMS, NEVER),
    _at(r"use", "`use`", f"{TERMS}; or `at most 2 products of`", COUNT),
    _at(r"never use N", "`never use A`", "`in the` and a time of day, a clause such as `if`, or the full stop", NEVER),
    _at(r"use N", "`use A`", "`only in the`, `at most`, `at least` or `for`", COUNT),
    _at(r"use N only(?: in)?(?: the)?", "`use A only`", f"`in the` and {SLOT}", ONLY),
    _at(
        r"only in the N(?: or N)* or",
        "`or`",
        "another time of day, such as `afternoon`",
        "use retinoid only in the evening or afternoon",
    ),
    _at(r"use N cmp", "`use A at most` or `at least`", "a number and what is counted, such as `3 times per week`", COUNT),
    _at(
        r"use N cmp #",
        "`use A at most` and a number",
        "what is counted: `times`, `days`, `mornings`, `middays`, `afternoons` or `evenings`",
        COUNT,
    ),
    _at(r"use N cmp (?:# counted|T)", "what is counted", "`per` and a span such as `week`, or `in a row`", COUNT),
    _at(
        r"use N cmp (?:# counted|T) per",
        "`per`",
        "`routine`, `day`, `week`, `month`, `cycle`, or a number of days or weeks",
        COUNT,
    ),
    _at(r"use N cmp (?:# counted|T) in(?: a)?", "`in`", "`a row`", "use retinoid at most 2 evenings in a row"),
    _at(r"per #", "`per` and a number", "`days` or `weeks`", "use strong-acid at most 4 times per 10 days"),
    _at(r"use cmp", "`use at most` or `at least`", "a number and `products of`", PRODUCTS),
    _at(r"use cmp #", "`use at most` and a number", "`products of` and a product's name", PRODUCTS),
    _at(r"use cmp # products", "`products`", "`of` and a product's name", PRODUCTS),
    _at(r"use cmp # products of", "`products of`", TERMS, PRODUCTS),
    _at(r"use cmp # products of N", "`products of A`", "`per` and a span such as `routine`", PRODUCTS),
    _at(
        r"use cmp # products of N per",
        "`per`",
        "`routine`, `day`, `week`, `month`, `cycle`, or a number of days or weeks",
        PRODUCTS,
    ),
    _at(r"use N for", "`use A for`", "`at most` or `at least`, and a length of time", COURSE),
    _at(r"use N for cmp", "`use A for at most`", "a length of time, such as `8 weeks`", COURSE),
    _at(r"(?:in daylight|(?:after|before) N) expect N every", "`every`", "a length of time, or a time of day and `for`", AFTER),
    _at(r"S in", "`in` at the beginning of a sentence", "`daylight expect` and a product's name", RENEW),
    _at(r"in daylight", "`in daylight`", "`expect` and a product's name", RENEW),
    _at(r"in daylight expect", "`in daylight expect`", TERMS, RENEW),
    _at(r"in daylight expect N", "`in daylight expect A`", "`every` and a length of time", RENEW),
    _at(r"S after", "`after`", TERMS, AFTER),
    _at(r"S before", "`before`", TERMS, PATCH),
    _at(r"S after N", "`after A`", "`expect` and the companion's name", AFTER),
    _at(r"S before N", "`before A`", "`expect` and the companion's name", PATCH),
    _at(r"(?:after|before) N expect", "`expect`", TERMS, AFTER),
    _at(
        r"(?:after|before) N expect N",
        "`expect B`",
        "how near: `in the same routine`, `within 12 hours`, `every morning for 7 days` or `at least 24 hours ahead`",
        AFTER,
    ),
    _at(
        r"(?:after|before) N expect N in(?: the)?",
        "`expect B in`",
        "`the same routine` or `the same day`",
        "after retinoid expect moisturiser in the same routine",
    ),
    _at(
        r"(?:after|before) N expect N in the same",
        "`in the same`",
        "`routine` or `day`",
        "after retinoid expect moisturiser in the same routine",
    ),
    _at(r"(?:after|before) N expect N within", "`within`", TIME, "after retinoid expect moisturiser within 12 hours"),
    _at(r"expect N every N", "`every` and a time of day", "`for` and a length of time", AFTER),
    _at(r"expect N every N for", "`for`", "a length of time, such as `7 days`", AFTER),
    _at(r"(?:after|before) N expect N cmp", "`at least`", "a length of time, then `ahead`", PATCH),
    _at(r"(?:after|before) N expect N (?:cmp|at least) T", "`at least` and a length of time", "`ahead`", PATCH),
    _at(r"expect", "`expect`", TERMS, EVERY),
    _at(r"expect N", "`expect A`", "`in every` and a time of day or `routine`", EVERY),
    _at(r"expect N in", "`expect A in`", "`every` and a time of day or `routine`", EVERY),
    _at(r"expect N in every", "`in every`", "a time of day, `daylight`, `routine` or `day`", EVERY),
    _at(r"that(?: has)?", "`that`", f"`has` and {TERMS}", "expect sunscreen in every routine that has retinoid"),
    _at(r"limit(?: total)?", "`limit`", "what is limited: `strength`, `ph`, `total strength` or another measure", LIMIT),
    _at(r"limit (?:total )?N", "`limit` and a measure", "`of` and a product's name", LIMIT),
    _at(r"limit (?:total )?N of", "`limit … of`", TERMS, LIMIT),
    _at(r"limit (?:total )?N of N", "`limit … of A`", "`to at most` or `to at least`, and a quantity", LIMIT),
    _at(
        r"limit (?:total )?N of N per",
        "`per`",
        "`routine`, `day`, `week`, `month` or `cycle`",
        "limit total strength of retinoid per day to at most 1 %",
    ),
    _at(
        r"limit (?:total )?N of N per (?:period|\w+)",
        "`per` and a span",
        "`to at most` or `to at least`, and a quantity",
        LIMIT,
    ),
    _at(r"limit (?:total )?N of N (?:per (?:period|\w+) )?to", "`to`", "`at most` or `at least`, and a quantity", LIMIT),
    _at(
        r"limit (?:total )?N of N (?:per (?:period|\w+) )?to cmp",
        "`to at most` or `to at least`",
        "the number, with `%` for a strength",
        LIMIT,
    ),
    _at(r"at", "`at`", "`least` or `most`", "at most 3 times per week"),
    _at(r"in(?: the)?", "`in`", f"`the` and {SLOT}", "in the evening"),
    # The beginning of a rule.
    _at(r"rule", "`rule`", "the rule's name", RULE),
    _at(r"rule N", "a rule's name", "how strongly it speaks: `avoid`, `caution` or `advice`", RULE),
    _at(
        r"S ,",
        "the comma behind how strongly a rule speaks",
        "how strongly it speaks in the strict stance",
        "rule acid-off-retinoid caution, avoid if strict",
    ),
    _at(
        r"S , S(?: if)?",
        "how strongly a rule speaks in the strict stance",
        "`if strict`",
        "rule acid-off-retinoid caution, avoid if strict",
    ),
    _at(
        r"S(?: if strict)?",
        "how strongly a rule speaks",
        REQUIREMENT,
        RULE,
    ),
    # Notes.
    _at(r"topic", "`topic`", "the topic's name", "topic separation"),
    _at(r"(why|advise|disputed|title|about|inci|also)", r"`\1`", QUOTED, r'\1 "…"'),
    _at(r"(inci|also) \" ,", "the comma", "another text in quotation marks", 'inci "Retinol", "Vitamin A"'),
    _at(r"review-by", "`review-by`", "a date: year, month and day", "review-by 2027-06-30"),
    _at(
        r"source",
        "`source`",
        "how well it is known, `verified`, `secondary`, `practice` or `memory`, and then what it is",
        'source verified "Body, document, section, date"',
    ),
    _at(
        r"status",
        "`verified`, `secondary`, `practice` or `memory`",
        "the source, in quotation marks",
        'source verified "Body, document, section, date"',
    ),
    # Declarations and the head of a file.
    _at(
        r"substance N(?: property| note)?",
        "a substance's name or property",
        "another property: `inci`, `cas`, `also`, `pka`, `molar-mass`, `in` or `source`",
        SUBSTANCE,
    ),
    _at(
        r"rule N S (?:sentence|note)(?: note)?",
        "a rule's sentence",
        NOTES,
        RULE,
    ),
    _at(
        r"(?:pack N V|head|or later)",
        "the head of the file",
        "`title`, `about` or `uses`, or the first declaration or rule",
        RULE,
    ),
    _at(r"item", "a declaration", DECLARATION, SUBSTANCE),
    _at(r"pack", "`pack`", "the pack's name and version", "pack acids 1.0.0"),
    _at(r"pack N", "the pack's name", "its version, three numbers with points", "pack acids 1.0.0"),
    _at(
        r"uses N",
        "the name of a pack",
        "a comma and another one, or the first declaration or rule",
        "uses core, acids 1.2 or later",
    ),
    _at(r"uses(?: N ,)*", "`uses`", "the name of a pack", "uses core, acids 1.2 or later"),
    _at(r"uses (?:N , )*N (?:#|V)(?: or)?", "a version", "`or later`", "uses core, acids 1.2 or later"),
    _at(r"substance", "`substance`", "the substance's name", SUBSTANCE),
    _at(r"cas(?: K ,)*", "`cas`", "a CAS number", "cas 79-14-1"),
    _at(r"(pka|molar-mass)", r"`\1`", "a number", r"\1 3.83"),
    _at(r"(?:pka|molar-mass) # ,", "the comma", "another number", "pka 3.13, 4.76, 6.40"),
    _at(r"in N ,", "the comma", "the name of another family", SUBSTANCE),
    _at(r"family", "`family`", "the family's name", 'family retinoid "retinoids"'),
    _at(r"family N", "a family's name", "its title in quotation marks", 'family retinoid "retinoids"'),
    _at(r"group", "`group`", "the group's name", GROUP),
    _at(r"group N(?: \")?", "a group's name", "`means` and a term", GROUP),
    _at(r"means", "`means`", TERMS, GROUP),
    _at(r"means N", "a group's term", "`or`, `and`, `except`, `with`, `on` or the full stop", GROUP),
    _at(r"area", "`area`", "the area's name", AREA),
    _at(r"area N", "an area's name", "`contains` or `overlaps`, and the full stop", AREA),
    _at(r"(contains|overlaps)", r"`\1`", "the name of another area", AREA),
    _at(r"(?:contains|overlaps) N", "the name of an area", "a comma and another one, or the full stop", AREA),
    _at(r"measure(?: N)?", "`measure`", "its name, and its unit in quotation marks", 'measure free-acid "%" adds'),
    _at(
        r"(?:sort|^kind|^trait|^slot|^symptom|^allergy|^reason|^region)",
        "a declaration's word",
        "the name that it declares",
        'kind serum "serum"',
    ),
    _at(r"sort N", "the declared name", "its title in quotation marks, or the next declaration", 'kind serum "serum"'),
    # Words that join, wherever they stand.
    _at(r"(or|and|except|not)", r"`\1`", TERMS, "glycolic-acid or lactic-acid"),
    _at(r"\(", "the opening bracket", TERMS, "(glycolic-acid or lactic-acid) on face"),
    _at(r"N ,", "the comma", "another name", "glycolic-acid, lactic-acid"),
    _at(r"#", "a number", "its unit, such as `minutes`, `hours`, `days` or `weeks`", "12 hours"),
)
