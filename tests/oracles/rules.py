"""Random rules, as text: every requirement, and most terms and clauses."""

from __future__ import annotations

from hypothesis import assume
from hypothesis import strategies as st

from oracles import words

SUBSTANCE = st.sampled_from(["retinoid", "acid", "retinol", "aha", "glycolic-acid", "adapalene"])
NAME = st.one_of(SUBSTANCE, SUBSTANCE, st.sampled_from([*words.GROUPS, "active", *words.KINDS]))
AREA = st.sampled_from(["face", "cheeks", "beard", "neck", "spots"])
SLOT = st.sampled_from(["evening", "morning", "midday", "afternoon"])
COMPARISON = st.sampled_from(["at least", "at most", "above", "below"])
MARK = st.sampled_from(["left-on", "rinsed", "timed", "prescribed", "encapsulated", "made-up"])
STRENGTH = st.sampled_from(["1 %", "2 %", "5 %"])


def _written(template: str, **parts: st.SearchStrategy[object]) -> st.SearchStrategy[str]:
    return st.fixed_dictionaries(parts).map(lambda chosen: template.format(**chosen))


def _qualified(plain: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    return st.one_of(
        _written("{a} with strength {c} {n}", a=SUBSTANCE, c=COMPARISON, n=STRENGTH),
        _written("{a} with ph {c} {n}", a=plain, c=COMPARISON, n=st.sampled_from(["4", "3.5"])),
        _written("{a} with spf {c} {n}", a=st.just("sunscreen"), c=COMPARISON, n=st.sampled_from(["30", "15"])),
        _written("{a} with contact {c} {n} minutes", a=plain, c=COMPARISON, n=st.sampled_from([2, 5, 20])),
        _written("{m} {a}", m=MARK, a=plain),
        _written("{a} on {w}", a=plain, w=AREA),
        _written("not {a}", a=plain),
        _written("{a} except {b}", a=plain, b=plain),
        _written("({a} or {b})", a=plain, b=plain),
        _written("{a} and {b}", a=plain, b=plain),
    )


_PLAIN = st.one_of(NAME, NAME, NAME, st.sampled_from(["base oil", "base water", "any product", '"Retinol"']))
_ONCE = _qualified(_PLAIN)
_TWICE = _qualified(_ONCE.map(lambda term: f"({term})"))
TERM = st.one_of(
    _PLAIN, _PLAIN, _ONCE, _TWICE.filter(lambda term: term.count(" on ") < 2)
)  # nobody writes ``A on face on neck``
ATOM = st.one_of(_PLAIN, TERM.map(lambda term: f"({term})"))
EVENT = st.sampled_from(["event waxing", "event shaving", "event waxing", "(event waxing or event shaving)"])
CLOCK = st.sampled_from(["30 minutes", "3 hours", "12 hours", "15 hours", "30 hours"])
DAYS = st.sampled_from(["1 day", "2 days", "3 days", "1 week"])
DURATION = st.one_of(CLOCK, DAYS)
APART = st.one_of(
    st.sampled_from(["routine", "day"]),
    DURATION,
    _written("{a} before", a=DURATION),
    _written("{a} after", a=DURATION),
    _written("{a} before and {b} after", a=DURATION, b=DURATION),
)
REACH = st.one_of(
    st.sampled_from(["in the same routine", "in the same day"]),
    _written("within {d}", d=DURATION),
    _written("every {s} for {d}", s=st.sampled_from(["morning", "evening", "daylight", "day"]), d=DAYS),
)
SPAN = st.sampled_from(["week", "day", "cycle", "3 days", "2 weeks", "week", "day"])
COUNTED = st.sampled_from(["times", "days", "evenings", "mornings"])
NUMBER = st.integers(1, 4)
BOUND = st.sampled_from(["at most", "at most", "at least"])

REQUIREMENTS: dict[str, st.SearchStrategy[str]] = {
    "separate": _written("separate {a} from {b} by {c}", a=TERM, b=TERM, c=APART),
    "separate-event": _written("separate {a} from {e} by {c}", a=TERM, e=EVENT, c=APART.filter(lambda a: a != "routine")),
    "separate-uses": _written("separate uses of {a} by {d}", a=TERM, d=DURATION),
    "apply-before": _written("apply {a} before {b}", a=TERM, b=TERM),
    "apply-chain": _written("apply {a} then {b} then {c}", a=TERM, b=TERM, c=TERM),
    "apply-edge": _written(
        "apply {a} {edge}{but}{slot}",
        a=TERM,
        edge=st.sampled_from(["first", "last"]),
        but=st.one_of(st.just(""), _written(" except {b}", b=ATOM)),
        slot=st.one_of(st.just(""), st.just(""), _written(" in the {s}", s=SLOT)),
    ),
    "apply-directly": _written("apply {a} directly before {b}", a=TERM, b=TERM),
    "wait": _written("wait {n} minutes after {a} before {b}", n=st.sampled_from([10, 20, 45]), a=TERM, b=TERM),
    "wait-event": st.one_of(
        _written("wait {d} after {a} before event {e}", d=CLOCK, a=TERM, e=st.sampled_from(["bed", "daylight", "waxing"])),
        _written("wait {d} after event {e} before {a}", d=DURATION, a=TERM, e=st.sampled_from(["daylight", "waxing"])),
    ),
    "only": _written("use {a} only in the {s} or {t}", a=TERM, s=SLOT, t=SLOT),
    "never": _written("never use {a}{s}", a=TERM, s=st.one_of(st.just(""), _written(" in the {s}", s=SLOT))),
    "count": _written("use {a} {b} {n} {c} per {s}", a=TERM, b=BOUND, n=NUMBER, c=COUNTED, s=SPAN),
    "count-routine": _written("use {a} {b} {n} times per routine", a=TERM, b=BOUND, n=NUMBER),
    "row": _written("use {a} at most {n} {c} in a row", a=TERM, n=NUMBER, c=st.sampled_from(["days", "evenings", "mornings"])),
    "products": _written(
        "use {b} {n} products of {a} per {s}", a=TERM, b=BOUND, n=NUMBER, s=st.one_of(SPAN, st.just("routine"))
    ),
    "course": _written("use {a} for {b} {d}", a=TERM, b=BOUND, d=st.sampled_from(["1 week", "10 days", "3 days"])),
    "around": _written("{w} {a} expect {b} {r}", w=st.sampled_from(["after", "before"]), a=TERM, b=TERM, r=REACH),
    "around-event": _written(
        "{w} expect {b} {r}",
        w=st.sampled_from(["before event daylight", "before event bed", "before event waxing", "after event waxing"]),
        b=TERM,
        r=REACH.filter(lambda reach: reach != "in the same routine"),
    ),
    "ahead": _written("before {a} expect {b} at least {d} ahead", a=TERM, b=TERM, d=DURATION),
    "patch-test": _written(
        "before first use of {a} expect patch-test of {a} at least {d} ahead", a=NAME, d=st.sampled_from(["24 hours", "2 days"])
    ),
    "every": _written(
        "expect {b} in every {s}", b=TERM, s=st.sampled_from(["morning", "evening", "daylight", "day", "routine", "midday"])
    ),
    "every-having": _written(
        "expect {b} in every {s} that has {a}", b=TERM, a=ATOM, s=st.sampled_from(["routine", "day", "morning", "evening"])
    ),
    "renew": _written("in daylight expect {b} every {d}", b=TERM, d=st.sampled_from(["2 hours", "4 hours"])),
    "limit": st.one_of(
        _written("limit strength of {a} to {b} {n}", a=SUBSTANCE, b=BOUND, n=STRENGTH),
        _written(
            "limit strength of ({a} except {x}) to {b} {n}",
            a=st.sampled_from(["acid", "retinoid", "active"]),
            x=SUBSTANCE,
            b=BOUND,
            n=STRENGTH,
        ),
        _written("limit ph of {a} to {b} 4", a=TERM, b=BOUND),
        _written("limit spf of {a} to {b} 30", a=TERM, b=BOUND),
        _written("limit months-open of {a} to {b} 3 months", a=TERM, b=BOUND),
    ),
    "limit-total": _written(
        "limit total strength of {a} per {s} to {b} {n}",
        a=SUBSTANCE,
        s=st.sampled_from(["routine", "day"]),
        b=BOUND,
        n=STRENGTH,
    ),
    "first": _written("never use first use of {a}{s}", a=NAME, s=st.one_of(st.just(""), _written(" in the {s}", s=SLOT))),
}

_FACTS = st.one_of(
    _written("{w} has {a}", w=st.sampled_from(["routine", "day", "regimen"]), a=ATOM),
    _written(
        "{w} has {a} {o} {b}",
        w=st.sampled_from(["routine", "routine", "day"]),
        a=ATOM,
        b=ATOM,
        o=st.sampled_from(["after", "before"]),
    ),
    st.sampled_from(
        [
            "person is pregnant",
            "person has peeling",
            "person is allergic to aspirin",
            "person takes retinol",
            "person takes retinoid",
            "person took retinol within 1 week",
            "reason is acne",
            "age below 12 years",
            "age at least 3 years",
            "phototype at most 2",
            "region is eu",
            "skin is dry",
            "from 2026-01-01",
            "until 2026-02-01",
        ]
    ),
    _written("within {d} after {e}", d=DURATION, e=st.one_of(EVENT, ATOM)),
    _written("before {e} within {d}", d=DURATION, e=st.one_of(EVENT, ATOM)),
    _written("before event {e} within {d}", d=CLOCK, e=st.sampled_from(["daylight", "bed"])),
    _written("during the first {d} of {a}", d=st.sampled_from(["3 days", "2 weeks"]), a=ATOM),
)
CONDITION = st.one_of(
    _FACTS,
    _FACTS,
    _FACTS,
    _written("({a} {w} {b})", a=_FACTS, b=_FACTS, w=st.sampled_from(["or", "and"])),
    _FACTS.map(lambda fact: f"not ({fact})"),
)
_CLAUSE = _written("{w} {c}", w=st.sampled_from(["if", "unless"]), c=CONDITION)


@st.composite
def rules(draw: st.DrawFn) -> str:
    """A rule's sentence."""
    sort = draw(st.sampled_from(list(REQUIREMENTS)))
    clauses = draw(st.sampled_from([0, 0, 0, 1, 1, 2]))
    parts = [draw(REQUIREMENTS[sort]), *(draw(_CLAUSE) for _ in range(clauses))]
    extra = draw(st.integers(0, 19))
    if extra == 19:
        parts.append("assume unknown holds")
    if extra == 18:
        parts.append("assume unknown breaks")
    if extra == 17 and sort in ("separate", "apply-before", "wait"):
        parts.append("counting face as one area")
    if extra == 16 and sort == "course":
        parts.append("allowing pauses of 2 days")
    sentence = " ".join(parts) + "."
    # At daylight itself, and at bed time itself, nobody asks how soon it is daylight, or bed time.
    assume(not ("event daylight within" in sentence and sort in ("every", "around-event", "renew")))
    return sentence
