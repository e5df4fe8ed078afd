"""What a regimen file says, as plain frozen data.

Numbers are exact integers: strengths, pH and SPF in billionths (``8 %`` is ``8_000_000_000``), clock times in minutes after
midnight, ages in months.  None means "not stated"; whether that reads as "no" or as "unknown" is the checks' business.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from dermalint.spans import Place, SourceText
from dermalint_grammar.record import Record

ERROR = "error"
HINT = "hint"
_NONE_STATED: Mapping[str, int] = {}


class Problem(Record):
    """What is wrong with a file itself.  An error means that what it concerns was not checked; a hint changes nothing."""

    level: str
    message: str
    suggestion: str | None = None
    place: Place | None = None
    pack: str | None = None
    plugin: str | None = None


class Mention(Record):
    """A name as a file writes it (a trait, a symptom, an allergy, a reason, an area), since when, and where."""

    name: str
    place: Place
    since: date | None = None
    detail: str | None = None  # "week 20" of {pregnant: week 20}


class Medicine(Record):
    """A medicine by mouth."""

    substance: str
    place: Place
    since: date | None = None
    until: date | None = None


class Person(Record):
    """The one a regimen is for; an empty person is nobody in particular."""

    age_months: int | None = None
    sex: str | None = None
    traits: tuple[Mention, ...] = ()
    reasons: tuple[Mention, ...] = ()
    symptoms: tuple[Mention, ...] = ()
    allergies: tuple[Mention, ...] = ()
    phototype: int | None = None
    takes: tuple[Medicine, ...] = ()


class Contact(Record):
    """How long a product stays: ``left-on``, ``rinsed`` (minutes where stated) or ``timed`` (then wiped or rinsed)."""

    kind: str = "left-on"
    minutes: int | None = None


class Content(Record):
    """A substance, or a family standing for its total, in a product; ``strength`` in billionths of a per cent."""

    name: str
    strength: int | None
    place: Place


class Product(Record):
    """A declared product."""

    key: str
    place: Place
    name: str | None = None
    kinds: tuple[Mention, ...] = ()
    base: Mention | None = None
    contact: Contact = Contact()
    ph: int | None = None
    spf: int | None = None
    filters: str | None = None
    broad_spectrum: bool | None = None
    contains: tuple[Content, ...] = ()
    ingredients: str | None = None  # a label's list, not yet read
    ingredients_place: Place | None = None
    prescribed: bool = False
    form: str = "plain"
    made_up: bool = False
    bought: date | None = None
    opened: date | None = None
    dispensed: date | None = None
    expires: date | None = None
    lasts_after_opening_months: int | None = None


class WaitStep(Record):
    """``wait: 20 min``, or ``{until: skin is dry}`` (then ``minutes`` is None: nobody wrote how long that takes)."""

    minutes: int | None
    place: Place
    skin: str | None = None  # "dry" after a wait until the skin is dry


class ApplyStep(Record):
    """One application: a product, or a mix of several blended in the palm.

    ``areas`` empty means the face.  ``at_most`` is a number a day.  ``repeat_minutes`` with ``repeat_until`` (a clock time)
    makes a chain within the day.  ``amount`` is kept as written, for hand-outs.
    """

    products: tuple[Mention, ...]
    place: Place
    areas: tuple[Mention, ...] = ()
    without: tuple[Mention, ...] = ()
    amount: str | None = None
    contact: Contact | None = None
    as_needed: bool = False
    at_most: int | None = None
    repeat_minutes: int | None = None
    repeat_until: int | None = None
    skin: str | None = None


Step = WaitStep | ApplyStep


class Days(Record):
    """Which days: day numbers or weekdays (Monday 1 … Sunday 7), or every ``every`` days from day 1 or ``anchor``.

    ``negated`` turns the listed days round (``not tuesday``).  No numbers, no weekdays and no ``every``: each day.
    """

    numbers: tuple[int, ...] = ()
    weekdays: tuple[int, ...] = ()
    every: int | None = None
    anchor: date | None = None
    negated: bool = False
    place: Place | None = None


class Routine(Record):
    """Steps in a slot on some days, or on dates; ``only_if`` makes it possible, not certain."""

    slot: Mention
    steps: tuple[Step, ...]
    place: Place
    days: Days = Days()
    dates: tuple[date, ...] = ()
    at: int | None = None
    only_if: str | None = None


class Phase(Record):
    """A stretch of the regimen; ``days`` None goes on for ever."""

    days: int | None
    cycle: int
    routines: tuple[Routine, ...]
    place: Place


class OwnSlot(Record):
    """A slot the file adds under ``day``."""

    name: str
    at: int
    counts_as: str
    place: Place


class DayClock(Record):
    """The clocks under ``day``, in minutes; only what the file states."""

    stated: Mapping[str, int] = _NONE_STATED  # of morning, midday, afternoon, evening, bed
    own: tuple[OwnSlot, ...] = ()


class Event(Record):
    """Something dated that is no product: on a date, every so many days from a date, or in a slot on some days."""

    event: Mention
    place: Place
    on: date | None = None
    every_days: int | None = None
    first: date | None = None
    times: int | None = None
    slot: Mention | None = None
    days: Days | None = None
    at: int | None = None
    areas: tuple[Mention, ...] = ()


class Outdoors(Record):
    """Daylight on some days (or dates) from … to …; or ``indoors``; or areas no daylight reaches."""

    place: Place
    days: Days | None = None
    dates: tuple[date, ...] = ()
    start: int | None = None
    end: int | None = None
    indoors: bool = False
    behind: str | None = None
    covered: tuple[Mention, ...] = ()


class PastUse(Record):
    """A product known before the regimen began."""

    product: Mention
    place: Place
    since: date | None = None
    until: date | None = None
    uses: int | None = None  # this many …
    per_days: int | None = None  # … in so many days


class PastTest(Record):
    """A patch test that was done; ``hours`` is how long it ran."""

    product: Mention
    place: Place
    first: date | None = None
    hours: int | None = None
    areas: tuple[Mention, ...] = ()
    times_a_day: int | None = None
    reaction: str | None = None
    contact: str | None = None
    protocol: str | None = None


class Waiver(Record):
    """A finding that somebody accepts: of a rule or of topics, for the named products."""

    place: Place
    reason: str
    rule: str | None = None
    topics: tuple[str, ...] = ()
    products: tuple[Mention, ...] = ()
    by: str | None = None
    until: date | None = None


class Often(Record):
    """How often a product is wished: ``least`` to ``most`` times in ``per_days`` days (None: in each cycle).

    ``counted`` is a slot's plural (``evenings``), or ``days`` for any slot of the four.
    """

    counted: str
    least: int
    most: int
    per_days: int | None


class Stage(Record):
    """One stage of a ramp, ``lasts`` days long; the last one (None) goes on."""

    least: int
    most: int
    per_days: int | None
    lasts: int | None


class Wish(Record):
    """One wish of a regimen that is to be arranged: about a product, slots to keep free, or introducing one by one.

    ``prefer`` is kept as written; ``not_before`` are products, substances, families or kinds that must not follow in the same
    routine or on the next day.  ``after`` and ``introduce`` are days; ``priority`` 1 is the most important.
    """

    place: Place
    product: Mention | None = None
    often: tuple[Often, ...] = ()
    not_before: tuple[Mention, ...] = ()
    prefer: tuple[Mention, ...] = ()
    ramp: tuple[Stage, ...] = ()
    after: int | None = None
    keep_free: tuple[Mention, ...] = ()
    introduce: int | None = None
    priority: int | None = None


class Regimen(Record):
    """One regimen of one person.  ``history`` None means that nothing is known; empty, that everything is new."""

    title: str
    products: Mapping[str, Product]
    phases: tuple[Phase, ...]
    place: Place
    about: str | None = None
    starts: date | None = None
    region: Mention | None = None
    stance: str | None = None
    person_name: str | None = None
    person: Person = Person()
    clock: DayClock = DayClock()
    events: tuple[Event, ...] = ()
    outdoors: tuple[Outdoors, ...] = ()
    history: tuple[PastUse | PastTest, ...] | None = None
    waivers: tuple[Waiver, ...] = ()
    wishes: tuple[Wish, ...] = ()
    wished_cycle: int | None = None  # days; None where the file leaves the cycle out or to be found
    longest_cycle: int | None = None  # of `cycle: any up to 8 days`


class Reading(Record):
    """What came of reading one file: its regimens (none when it could not be read) and its problems in file order.

    ``sources`` holds the text of the file and of each file it ``use``s, by path, for quoting.
    """

    path: str
    regimens: tuple[Regimen, ...]
    problems: tuple[Problem, ...]
    sources: Mapping[str, SourceText]
