"""The members of a club whose logs the reader may open, and their names as the reader chose."""

from dataclasses import dataclass

from clubsite.accounts.models import User
from logs.people.models import Club
from logs.people.sight import club_get, members_visible, own_membership


@dataclass(frozen=True, slots=True)
class ClubMember:
    """A member on a club's page.

    Attributes:
        membership_id: Names them in addresses.
        user_id: Their account.
        name: As the club knows them, or ``Member A`` and so on where names are hidden.
        is_own: Whether it is the reader.
    """

    membership_id: int
    user_id: int
    name: str
    is_own: bool


@dataclass(frozen=True, slots=True)
class ClubView:
    """A club as one reader sees it.

    Attributes:
        club: The club.
        is_coach: Whether the reader teaches in it.
        members: Those whose logs the reader may open, by name.
        hides_names: Whether names are hidden, so that a picture of the screen tells on nobody.
    """

    club: Club
    is_coach: bool
    members: tuple[ClubMember, ...]
    hides_names: bool


def club_view(*, actor: User, slug: str, hides_names: bool = False) -> ClubView:
    """The club at ``slug`` as ``actor`` sees it.

    Raises:
        NotFoundError: There is none, or ``actor`` is not in it.
    """
    club = club_get(actor=actor, slug=slug)
    own = own_membership(actor=actor, club=club)
    visible = members_visible(actor=actor, club=club)
    return ClubView(
        club=club,
        is_coach=own.is_coach,
        members=tuple(
            ClubMember(
                membership_id=member.pk,
                user_id=member.user_id,
                name=letter_name(place) if hides_names else member.display_name,
                is_own=member.user_id == actor.pk,
            )
            for place, member in enumerate(visible)
        ),
        hides_names=hides_names,
    )


def letter_name(place: int) -> str:
    """``Member A`` to ``Member Z``, ``Member AA`` and so on, from place 0."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"Member {letters}"
