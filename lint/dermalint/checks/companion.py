"""``expect …``: what must be there after, before or beside something, on the same skin."""

from __future__ import annotations

from itertools import pairwise

from dermalint.checks.case import Case, compatible, happens
from dermalint.checks.moments import Happening, happenings, moment_at
from dermalint.checks.run import Run
from dermalint.checks.terms import Matched
from dermalint.checks.topics import topic_of
from dermalint.timeline.clock import DAY
from dermalint.timeline.line import Daylight, Use
from dermalint.verdict.truth import NO, UNKNOWN, YES, negate
from dermalint_grammar import nodes


class Companions:
    """A companion's applications, and how certainly some of them cover an area; for daylight, where it reaches."""

    def __init__(self, case: Case, matched: list[Matched], limit: int | None, for_daylight: bool) -> None:
        self.case = case
        self.matched = matched
        self.limit = limit
        self.for_daylight = for_daylight
        self.by_day: dict[int, list[Matched]] = {}
        for item in self.matched:
            self.by_day.setdefault(item[0].day, []).append(item)
        self.moments: dict[str, list[tuple[Use, list[Matched]]]] = {}
        self.lacking: dict[tuple[str, int], list[tuple[Use, int]]] = {}

    def needed(self, area: int) -> int:
        """The skin that must be covered: the companion's own ``on AREA``, else that of what calls for it."""
        needed = area if self.limit is None else self.limit
        return needed & ~self.case.covered if self.for_daylight else needed

    def cover(self, found: list[Matched], needed: int, trigger: Use | None = None) -> int:
        """Whether the found applications together lie on all of an area; any at all will do where it is empty.

        What calls for them is taken to happen, and with it all that happens whenever it does.
        """
        spots = self.case.areas.spots
        certain = possible = loose = 0
        some = NO
        under: dict[tuple[int, str], int] = {}  # (day, condition) -> what is covered if the condition holds
        for use, truth, area in found:
            if trigger is not None and not compatible(use, trigger):
                continue  # it never happens where this does
            presence = min(truth, YES if trigger is not None and _goes_with(use, trigger) else happens(use))
            some = max(some, presence)
            possible |= area
            loose |= self.case.signatures.items[use.signature].area & spots
            if presence == YES:
                certain |= area
            elif truth == YES and (condition := _only_under(use)) is not None:
                under[use.day, condition] = under.get((use.day, condition), 0) | area
        for (day, condition), area in under.items():
            otherwise = under.get((day, f"not {condition}"), 0)  # one of the two does hold
            certain |= area & otherwise
            some = YES if otherwise else some
        if not needed:
            return some
        if needed & ~certain & ~spots == 0 and (not needed & spots or certain & (spots | needed)):
            return YES
        lacking = needed & ~possible
        if rest := lacking & ~spots:
            # What is on spots may lie on the one part of the face that is left.
            return UNKNOWN if loose and rest.bit_count() == 1 and rest & self.case.areas.face else NO
        if lacking & spots and not possible & self.case.areas.face:
            shaded = self.for_daylight and self.case.covered & self.case.areas.face
            return UNKNOWN if shaded else NO  # perhaps the spots are where no light reaches
        return UNKNOWN if possible else NO


def _companions(run: Run, companion: nodes.Term) -> Companions:
    """What rules about the same companion share."""
    case = run.case
    matched = case.terms.matched(companion)  # one list for all terms that mean the same uses, so that it can be told by its id
    key = id(matched), case.terms.said.area_limit(companion), topic_of(run.rule) == "sun"
    found = case.companions.get(key)
    if found is None:
        found = case.companions[key] = Companions(case, matched, *key[1:])
    return found


def _only_under(use: Use) -> str | None:
    """The condition under which an application is sure to happen; None where it has none, or may not happen even then."""
    application = use.application
    return None if application is None or application.step.as_needed else application.only_if


def _goes_with(use: Use, trigger: Use) -> bool:
    """Whether an application happens whenever another does: in the same step, or under the same condition that day."""
    one, other = use.application, trigger.application
    if one is None or other is None or use.day != trigger.day or one.only_if != other.only_if:
        return False
    return not one.step.as_needed or one.step is other.step


def check_around(run: Run, requirement: nodes.ExpectAround) -> None:
    """After (before) each A its companion, as near as asked, on all skin that A is on."""
    case = run.case
    reach = requirement.reach
    triggers = happenings(case, requirement.trigger, judged=reach.where != "every")
    if not triggers:
        return
    if isinstance(requirement.companion, nodes.PatchTest):
        _check_test(run, requirement, triggers)
        return
    companions = _companions(run, requirement.companion)
    for trigger in triggers:
        certainty = trigger.meant  # an as-needed trigger is judged as if it happens
        needed = companions.needed(trigger.area if trigger.area is not None else 0)
        if trigger.area and not needed:
            continue  # no light reaches there
        if reach.where == "routine" and trigger.use is not None and trigger.use.routine in case.line.renewals:
            continue  # one repeat of a chain is no routine
        if reach.where == "every":
            _check_every_after(run, requirement, companions, trigger, certainty, needed)
            continue
        found = [item for item in companions.matched if _reaches(case, requirement, trigger, item[0])]
        lacking = min(certainty, negate(companions.cover(found, needed, trigger.use)))
        anchor = trigger.use or moment_at(case, trigger)
        run.hit(lacking, anchor, *_told(trigger, requirement.trigger), missing=True)


def _told(trigger: Happening, term: nodes.Term) -> tuple[tuple[Use, nodes.Term], ...]:
    return () if trigger.use is None else ((trigger.use, term),)


def _reaches(case: Case, requirement: nodes.ExpectAround, trigger: Happening, use: Use) -> bool:
    reach = requirement.reach
    if trigger.use is use:
        return True  # the application itself is its companion
    after = requirement.side == "after"
    if reach.where == "routine":
        if trigger.use is None or trigger.use.routine != use.routine:
            return False
        return use.position >= trigger.use.position if after else use.position <= trigger.use.position
    begin = trigger.end if after and trigger.use is None else trigger.minute  # after daylight is after its end
    gap = use.minute - begin if after else begin - use.minute
    days = use.day - trigger.day if after else trigger.day - use.day
    if trigger.use is not None and trigger.use.routine == use.routine != 0:
        steps = use.position - trigger.use.position  # in one routine the order of steps counts, not the clock alone
        if (steps < 0) if after else (steps > 0):
            return False
    if gap < 0:
        return False
    if reach.where == "day":
        return days == 0
    assert reach.duration is not None
    if reach.where == "ahead":
        return gap >= reach.duration.minutes if reach.duration.by_clock else days >= reach.duration.days
    if reach.duration.by_clock:
        return gap <= reach.duration.minutes
    return days <= case.days_in(reach.duration, min(use.day, trigger.day))


def _check_every_after(
    run: Run, requirement: nodes.ExpectAround, companions: Companions, trigger: Happening, certainty: int, needed: int
) -> None:
    """Each morning (evening, daylight …) from the trigger on for so many days; told at the one that lacks it."""
    case = run.case
    reach = requirement.reach
    assert reach.duration is not None
    days = reach.duration.days
    slot = reach.slot or ""
    first, last = (trigger.day, trigger.day + days) if requirement.side == "after" else (trigger.day - days, trigger.day)
    for moment, lacks in _lacking(case, companions, slot, needed):
        if not first <= moment.day <= last:
            continue
        if requirement.side == "after" and moment.minute < trigger.minute and not _same_slot(trigger, moment):
            continue
        if requirement.side == "before" and moment.minute > trigger.minute:
            continue
        caller = trigger.use or moment_at(case, trigger)
        run.hit(min(certainty, lacks), moment, *_told(trigger, requirement.trigger), missing=True, judged_at=caller)


def _same_slot(trigger: Happening, moment: Use) -> bool:
    return trigger.day == moment.day and trigger.slot == moment.slot


def _lacking(case: Case, companions: Companions, slot: str, needed: int) -> list[tuple[Use, int]]:
    """The judged moments of a slot that lack the companion on some skin, and how certainly; worked out once."""
    known = companions.lacking.get((slot, needed))
    if known is None:
        told = ((moment, negate(companions.cover(found, needed))) for moment, found in _slots(case, companions, slot))
        known = companions.lacking[slot, needed] = [(moment, lacks) for moment, lacks in told if lacks != NO]
    return known


def _slots(case: Case, companions: Companions, slot: str) -> list[tuple[Use, list[Matched]]]:
    """The moments of a slot on the judged days, each with the companion's applications that count; worked out once."""
    found = companions.moments.get(slot)
    if found is None:
        days = range(case.line.judged_from, case.line.judged_until)
        found = [moment for day in days for moment in _lay_slots(case, companions, slot, day)]
        companions.moments[slot] = found
    return found


def _lay_slots(case: Case, companions: Companions, slot: str, day: int) -> list[tuple[Use, list[Matched]]]:
    line = case.line
    todays = companions.by_day.get(day, [])
    if slot == "daylight":
        return [
            (moment_at(case, light), [item for item in todays if item[0].minute <= light.start])
            for light in case.daylight
            if light.day == day
        ]
    if not line.first <= day < line.end:
        return []
    phase = line.phase_of(day)
    if slot == "day":
        minute = day * DAY + line.clock.start
        return [(Use(minute, day, "morning", "morning", phase, 0, 0, 0, 0, minute, -1), todays)]
    if slot == "routine":
        return _lay_routines(case, todays, day)
    clock = line.clock.slots.get(slot)
    if clock is None:
        return []
    minute = day * DAY + clock.minute
    moment = Use(minute, day, slot, clock.counts_as, phase, 0, 0, 0, 0, minute, -1)
    return [(moment, [item for item in todays if slot in (item[0].slot, item[0].counts_as)])]


def _lay_routines(case: Case, todays: list[Matched], day: int) -> list[tuple[Use, list[Matched]]]:
    """The first application of each routine of a day, with the companions in that routine."""
    firsts: dict[int, Use] = {}
    for use in case.line.uses:
        if use.day == day and use.routine not in case.line.renewals:
            firsts.setdefault(use.routine, use)
    return [(use, [item for item in todays if item[0].routine == routine]) for routine, use in firsts.items()]


def check_every(run: Run, requirement: nodes.ExpectEvery) -> None:
    """The companion in every slot of the line, listed or not; or in every routine (day) that has what calls for it."""
    case = run.case
    companions = _companions(run, requirement.companion)
    if requirement.having is not None or requirement.slot == "routine":
        _check_having(run, requirement, companions)
        return
    needed = companions.needed(case.areas.face if requirement.slot == "daylight" else 0)
    if requirement.slot == "daylight" and not needed:
        return
    for moment, found in _slots(case, companions, requirement.slot):
        run.hit(negate(companions.cover(found, needed)), moment, missing=True)


def _check_having(run: Run, requirement: nodes.ExpectEvery, companions: Companions) -> None:
    case = run.case
    term = requirement.having if requirement.having is not None else nodes.AnyProduct(requirement.span)
    worst: dict[int, tuple[int, Use]] = {}  # of a routine that need not have anything in particular, told once
    for trigger in happenings(case, term, judged=True):
        use = trigger.use
        if use is None or use.application is None:
            continue
        if requirement.slot == "routine" and use.routine in case.line.renewals:
            continue  # one repeat of a chain is no routine
        if requirement.having is not None and requirement.slot not in ("routine", "day", use.slot, use.counts_as):
            continue
        found = [
            item
            for item in companions.by_day.get(use.day, ())
            if item[0] is use or _beside(requirement.slot, use, item[0])
        ]
        needed = companions.needed(trigger.area or 0) if requirement.having is not None else companions.needed(0)
        if requirement.having is not None and not needed:
            continue
        lacking = min(trigger.meant, negate(companions.cover(found, needed, use)))
        if requirement.having is not None:
            run.hit(lacking, use, (use, term), missing=True)
        elif lacking > worst.get(use.routine, (NO, use))[0]:
            worst[use.routine] = lacking, use
    for lacking, use in worst.values():
        run.hit(lacking, use, (use, term), missing=True)


def _beside(slot: str, trigger: Use, companion: Use) -> bool:
    """Whether a companion of the same day is where its trigger is: in its routine, or in the slot (or day) that is named."""
    if slot == "routine":
        return companion.routine == trigger.routine
    return slot == "day" or slot in (companion.slot, companion.counts_as)


def _check_test(run: Run, requirement: nodes.ExpectAround, triggers: list[Happening]) -> None:
    """A patch test of the same product in the history, without reaction, ended long enough before."""
    case = run.case
    ahead = requirement.reach.duration
    assert isinstance(requirement.companion, nodes.PatchTest)
    testable, perhaps = case.terms.masks(requirement.companion.term)
    for trigger in triggers:
        use = trigger.use
        if use is None or use.application is None:
            continue
        tested = NO
        meant = YES if testable >> use.signature & 1 else UNKNOWN if perhaps >> use.signature & 1 else NO
        for test in case.past_tests():
            if test.product.name != use.product or test.reaction not in (None, "none"):
                continue
            answer = YES if test.reaction == "none" else UNKNOWN
            if ahead is not None and requirement.reach.where == "ahead":
                if test.first is None:
                    answer = min(answer, UNKNOWN)
                else:
                    ended = (test.first - case.origin).days * DAY + (test.hours or 0) * 60
                    if use.minute - ended < ahead.minutes:
                        continue
            tested = max(tested, min(answer, meant))
        run.hit(min(trigger.meant, negate(tested)), use, (use, requirement.trigger), missing=True)


def check_renew(run: Run, requirement: nodes.Renew) -> None:
    """In each stated interval of daylight no stretch longer than asked without a fresh application on shown skin.

    Daylight that nobody stated, or behind glass, asks for no renewal: how much of it there is, is not known.
    """
    case = run.case
    companions = _companions(run, requirement.companion)
    longest = requirement.duration.minutes
    for light in case.daylight:
        if not light.stated or light.behind_glass or not case.line.judged(light.day):
            continue
        fresh: list[tuple[int, int]] = []
        for use, truth, _ in companions.matched:
            if light.start <= use.minute <= light.end:
                fresh.append((use.minute, min(truth, happens(use))))
        before = [item for item in companions.by_day.get(light.day, ()) if item[0].minute <= light.start]
        gaps = [
            _longest_gap(light, [minute for minute, truth in fresh if truth >= floor]) for floor in (UNKNOWN, YES)
        ]
        if gaps[1] <= longest:
            continue
        last = max(before, key=lambda item: item[0].minute, default=None)
        told = () if last is None else ((last[0], requirement.companion),)
        run.hit(YES if gaps[0] > longest else UNKNOWN, moment_at(case, light), *told, value=gaps[1], missing=True)


def _longest_gap(light: Daylight, minutes: list[int]) -> int:
    marks = sorted([light.start, *minutes, light.end])
    return max(later - earlier for earlier, later in pairwise(marks))

