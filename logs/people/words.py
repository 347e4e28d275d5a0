"""Roles, who sees a log, invitations and tokens in words."""

from django.template import Library

from logs.people.models import Role, Scope, Visibility
from logs.people.report.clubs import InvitationState

register = Library()

ROLE_WORDS = {Role.OWNER: "owner and coach", Role.COACH: "coach", Role.MEMBER: "member"}

INVITED_AS = {Role.OWNER: "its owner", Role.COACH: "a coach", Role.MEMBER: "a member"}

STATE_WORDS = {
    InvitationState.OPEN: "open",
    InvitationState.WITHDRAWN: "withdrawn",
    InvitationState.EXPIRED: "out of date",
    InvitationState.USED_UP: "used up",
}

WRONG_CODE = (
    "This code does not work. It may be mistyped, used up, too old or withdrawn."
    " Look at it again, or ask for a new one."
)

VISIBILITIES = (
    (
        Visibility.ONLY_ME.value,
        "Only me",
        "Nobody else sees your log or any figure made from it.",
    ),
    (
        Visibility.COACH.value,
        "My coaches",
        "The coaches of this club see your log and your figures. Other members do not.",
    ),
    (
        Visibility.CLUB.value,
        "Everyone in the club",
        "The coaches and all members of this club see your log and your figures.",
    ),
)
"""Value, name and meaning, the most private first."""

SCOPES = (
    (
        Scope.READ.value,
        "Read",
        "What you may read: your log, logs that others show you, and all that is kept about you,"
        " with your e-mail address and who looked at your log.",
    ),
    (
        Scope.UPLOAD.value,
        "Upload",
        "Add logs and single solves to yours, mend rows set aside, and answer in practice.",
    ),
    (
        Scope.MANAGE.value,
        "Manage",
        "Change what you may change: who sees your log, your word on research, joining clubs and"
        " leaving them; for coaches also the people, invitations, book, homework and lessons of"
        " their club; for owners also handing it over, and closing it by leaving.",
    ),
)
"""Value, name and meaning."""


HAND_OUT = """{club} has a notebook on the web.

You add the log of your solves, and it shows which last-layer cases you know and which to learn next.

At the door you are asked who may see your log: only you, your coach, or the club. Each answer is fine,
and you can change it at any time on {privacy}. A coach who can see it can plan lessons and homework
that fit you; a coach who cannot can still set you homework.

No e-mail address and no real name is asked for. You can take a copy of everything and erase everything.
If you are under age, show this to a parent or guardian first.

What is kept and why: {keep}
"""
"""A text for coaches to hand out."""


@register.filter
def role_words(role: str) -> str:
    """``owner and coach``, ``coach``, ``member``."""
    return ROLE_WORDS[Role(role)]


@register.filter
def invited_as(role: str) -> str:
    """``a member``: what an invitation makes of somebody."""
    return INVITED_AS[Role(role)]


@register.filter
def state_words(state: str) -> str:
    """``used up``: the state of an invitation."""
    return STATE_WORDS[InvitationState(state)]


@register.filter
def visibility_name(visibility: str) -> str:
    """``Only me``: who sees a log."""
    return next(name for value, name, _ in VISIBILITIES if value == visibility)


@register.filter
def scope_words(scopes: tuple[str, ...]) -> str:
    """``read, upload``: what a token is good for."""
    return ", ".join(Scope(scope).value for scope in scopes)
