"""Groups, letters, calendars and mailed links, for the table of routes."""

from django.core import signing

from logs.home.letters import letter_token
from logs.home.models import CalendarFeed
from logs.home.services import feed_make, secret_of_seed
from logs.people.models import Group
from logs.people.services.mail import SALT
from tests.factories import NOW
from tests.logs.web.access_world import BUILDERS, KINDS, NEVER, Arguments, World


def _build(world: World) -> None:
    for key in ("first", "second"):
        group = Group.objects.create(club=world.clubs[key], name=f"group-of-{key}")
        world.things[f"group {key}"] = group.pk
    gone = Group.objects.create(club=world.clubs["first"], name="gone")
    world.things["group gone"] = gone.pk
    gone.delete()
    feed_make(actor=world.people["member"].user, now=NOW)


BUILDERS.append(_build)


def _group(world: World, role: str, what: str) -> Arguments:
    own, other = world.own_club(role), world.other_club(role)
    slug = world.clubs[other if what == "other" else own].slug
    ids = {"own": f"group {own}", "gone": "group gone"}
    number = NEVER if what == "never" else world.things[ids.get(what, f"group {other}")]
    return {"slug": slug, "group_id": number}


def _letter(world: World, role: str, what: str) -> Arguments:
    return {"token": letter_token(world.people["coach"].membership_id)}


def _calendar(world: World, role: str, what: str) -> Arguments:
    feed = CalendarFeed.objects.get(member=world.people["member"].user)
    return {"secret": secret_of_seed(feed.seed)}


def _mail_link(world: World, role: str, what: str) -> Arguments:
    """A link that was mailed to whoever asks."""
    user = world.people["member" if role == "anonymous" else role].user
    return {"token": signing.dumps({"user": user.pk, "mail": "new@example.org"}, salt=SALT)}


def _password_link(world: World, role: str, what: str) -> Arguments:
    return {"uidb64": "MQ", "token": "used-up"}


KINDS["group"] = _group
KINDS["letter"] = _letter
KINDS["calendar"] = _calendar
KINDS["mail_link"] = _mail_link
KINDS["password_link"] = _password_link

A_GROUP = {"name": "Tuesday"}
A_LETTER = {"wanted": "yes"}
