"""Homework, lessons and words on lists in the access tests' world, and who gets what of them."""

from datetime import date

from django.utils import timezone

from cubecore.cases import CaseId, Stage
from logs.homework.models import Homework
from logs.homework.plan import Plan
from logs.homework.services import drill_seal, homework_set
from logs.lessons.models import Lesson
from logs.lessons.services import LessonPlan, lesson_create
from logs.next_up.order import OverrideKind
from logs.next_up.services import override_set
from logs.people.models import Membership, Visibility
from tests.logs.web.access_rules import grid
from tests.logs.web.access_world import BUILDERS, KINDS, NEVER, PEOPLE, Arguments, Person, World

SUNE = CaseId(Stage.OLL, 27)

# ``others``: of one's own club, but not set for oneself.
HOMEWORK = grid("""
                  own  others  other  gone  never
anonymous         in   in      in     in    in
locked            in   in      in     in    in
member            ok   404     404    404   404
hider             ok   404     404    404   404
coach             ok   ok      404    404   404
owner             ok   ok      404    404   404
ex_member         404  404     404    404   404
coach_elsewhere   ok   ok      404    404   404
member_elsewhere  ok   404     404    404   404
""")
CLOSING = grid("""
                  own  others  other  gone  never
anonymous         in   in      in     in    in
locked            in   in      in     in    in
member            404  404     404    404   404
hider             404  404     404    404   404
coach             ok   ok      404    404   404
owner             ok   ok      404    404   404
ex_member         404  404     404    404   404
coach_elsewhere   ok   ok      404    404   404
member_elsewhere  404  404     404    404   404
""")
# One's own part alone: nobody was asked who is in the club no more.
OWN_PART = grid("""
                  own  others  other  gone  never
anonymous         in   in      in     in    in
locked            in   in      in     in    in
member            ok   404     404    404   404
hider             ok   404     404    404   404
coach             ok   404     404    404   404
owner             ok   404     404    404   404
ex_member         404  404     404    404   404
coach_elsewhere   ok   404     404    404   404
member_elsewhere  ok   404     404    404   404
""")
# One's own part, and as a coach those of the members who show their log.
ASSIGNMENT = grid("""
                  own  shown  to_coach  hidden  other  gone  never
anonymous         in   in     in        in      in     in    in
locked            in   in     in        in      in     in    in
member            ok   404    404       404     404    404   404
hider             ok   404    404       404     404    404   404
coach             ok   ok     ok        404     404    404   404
owner             ok   ok     ok        404     404    404   404
ex_member         404  404    404       404     404    404   404
coach_elsewhere   ok   404    404       404     ok     404   404
member_elsewhere  ok   404    404       404     404    404   404
""")

# A coach's word that they were shown a case, of everybody the homework is set for.
SHOWING = grid("""
                  own  shown  to_coach  hidden  other  gone  never
anonymous         in   in     in        in      in     in    in
locked            in   in     in        in      in     in    in
member            404  404    404       404     404    404   404
hider             404  404    404       404     404    404   404
coach             ok   ok     ok        ok      404    404   404
owner             ok   ok     ok        ok      404    404   404
ex_member         404  404    404       404     404    404   404
coach_elsewhere   ok   404    404       404     ok     404   404
member_elsewhere  404  404    404       404     404    404   404
""")


def build(world: World) -> None:
    """In each club a homework for all, one for one member, a lesson, and a word on each list.

    They are set while everybody shows their log; then those who hide it do.
    """
    shown_as = dict(Membership.objects.values_list("pk", "visibility"))
    Membership.objects.update(visibility=Visibility.CLUB)
    for club, coach, one in (("first", "coach", "shown"), ("second", "coach_elsewhere", "other")):
        people = [world.people[key] for key, (its, _, _) in PEOPLE.items() if its == club]
        everyone = tuple(person.membership_id for person in people)
        actor, slug = world.people[coach].user, world.clubs[club].slug
        alone = (world.people[one].membership_id,)
        for name, members in (("all", everyone), ("one", alone)):
            plan = Plan(cases=(SUNE,), membership_ids=members, note=f"canary-plan-{club}")
            made = homework_set(actor=actor, slug=slug, plan=plan, now=timezone.now())
            world.things[f"homework-{name}-{club}"] = made.pk
        evening = LessonPlan(date(2026, 3, 5), f"canary-title-{club}", "", everyone, ((SUNE, ""),))
        lesson = lesson_create(actor=actor, slug=slug, plan=evening)
        world.things[f"lesson-{club}"] = lesson.pk
        for person in people:
            word = override_set(
                actor=actor,
                membership_id=person.membership_id,
                case=SUNE,
                kind=OverrideKind.PIN,
                reason=f"canary-reason-{person.key}",
                now=timezone.now(),
            )
            world.things[f"word-{person.key}"] = word.pk
    for pk, visibility in shown_as.items():
        Membership.objects.filter(pk=pk).update(visibility=visibility)
    _make_gone(world)


def _make_gone(world: World) -> None:
    """Numbers that were in use once."""
    club = world.clubs["first"]
    homework = Homework.objects.create(club=club, set_at=timezone.now(), goal="one_look")
    lesson = Lesson.objects.create(club=club, on=date(2026, 3, 5), title="Gone")
    world.things |= {"homework-gone": homework.pk, "lesson-gone": lesson.pk}
    homework.delete()
    lesson.delete()


def _homework(world: World, role: str, what: str) -> Arguments:
    own, other = world.own_club(role), world.other_club(role)
    keys = {
        "own": f"homework-all-{own}",
        "others": f"homework-one-{own}",
        "other": f"homework-all-{other}",
        "gone": "homework-gone",
    }
    return {"homework_id": world.things[keys[what]] if what in keys else NEVER}


def _assignment(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    club = PEOPLE[person.key][0] if person else world.own_club(role)
    return {
        "homework_id": world.things[f"homework-all-{club}"],
        "membership_id": person.membership_id if person else NEVER,
    }


def _word(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {
        "membership_id": person.membership_id if person else NEVER,
        "override_id": world.things[f"word-{person.key}"] if person else NEVER,
    }


def _lesson(world: World, role: str, what: str) -> Arguments:
    keys = {
        "own": f"lesson-{world.own_club(role)}",
        "other": f"lesson-{world.other_club(role)}",
        "gone": "lesson-gone",
    }
    return {"lesson_id": world.things[keys[what]] if what in keys else NEVER}


def _member_of_own_club(world: World, person: Person | None) -> int:
    key = "other" if person and person.key.endswith("elsewhere") else "shown"
    return world.people[key].membership_id


def a_plan(world: World, person: Person | None) -> dict[str, object]:
    """What sets a homework for a member of the sender's club."""
    member = _member_of_own_club(world, person)
    return {"member": [member], "case": ["oll-27"], "goal": "one_look", "step": "set"}


def a_lesson(world: World, person: Person | None) -> dict[str, object]:
    """What keeps a lesson with a member of the sender's club."""
    member = _member_of_own_club(world, person)
    return {"member": [member], "case": ["oll-27"], "title": "Evening", "on": "2026-03-05"}


def a_drill_word(world: World, person: Person | None) -> dict[str, object]:
    """What says how a drill went that was dealt to the sender."""
    if person is None:
        return {}
    seal = drill_seal(actor=person.user, case=SUNE, scramble="R U R'")
    return {"seal": seal, "word": "clean"}


A_REASON = {"reason": "It is spring."}
A_CASE = {"case": ["oll-27"], "is_shown": True}
AN_EXCUSE = A_REASON | {"case": ["oll-27"]}
A_WORD = A_REASON | {"case": ["pll-T"], "kind": "pin"}

BUILDERS.append(build)
KINDS.update({"homework": _homework, "assignment": _assignment, "word": _word, "lesson": _lesson})
