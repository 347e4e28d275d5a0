"""What each role gets, written out cell by cell: nothing here is worked out from the app's rules.

A cell is ``ok`` (the answer the route is there for), ``in`` (sent to sign in), or a status. ``302``
is a redirect that changes nothing.
"""

from dataclasses import dataclass

ROLES = (
    "anonymous",
    "locked",
    "member",
    "hider",
    "coach",
    "owner",
    "ex_member",
    "coach_elsewhere",
    "member_elsewhere",
)


@dataclass(frozen=True)
class Grid:
    """Expectations by role and object."""

    objects: tuple[str, ...]
    cells: dict[tuple[str, str], str]


def grid(text: str) -> Grid:
    """The grid that ``text`` draws: objects along the top, a line for each role."""
    head, *lines = [line.split() for line in text.strip().splitlines()]
    rows = {line[0]: line[1:] for line in lines}
    assert tuple(rows) == ROLES, f"each role once, in order: {ROLES}"
    cells = {
        (role, what): cell
        for role, row in rows.items()
        for what, cell in zip(head, row, strict=True)
    }
    return Grid(tuple(head), cells)


# Pages that are about nothing but the reader.
OPEN = grid("""
                  -
anonymous         in
locked            in
member            ok
hider             ok
coach             ok
owner             ok
ex_member         ok
coach_elsewhere   ok
member_elsewhere  ok
""")
PUBLIC = grid("""
                  -
anonymous         ok
locked            ok
member            ok
hider             ok
coach             ok
owner             ok
ex_member         ok
coach_elsewhere   ok
member_elsewhere  ok
""")
# Coaches are led on to their desk.
FIRST_PAGE = grid("""
                  -
anonymous         in
locked            in
member            ok
hider             ok
coach             302
owner             302
ex_member         ok
coach_elsewhere   302
member_elsewhere  ok
""")
STRANGERS = grid("""
                  -
anonymous         ok
locked            ok
member            302
hider             302
coach             302
owner             302
ex_member         302
coach_elsewhere   302
member_elsewhere  302
""")
# An invitation of the first club: those in it gain nothing by it.
JOINING = grid("""
                  -
anonymous         ok
locked            ok
member            302
hider             302
coach             302
owner             302
ex_member         ok
coach_elsewhere   ok
member_elsewhere  ok
""")
# An owner with others in the club cannot go.
ERASING = grid("""
                  -
anonymous         in
locked            in
member            ok
hider             ok
coach             ok
owner             422
ex_member         ok
coach_elsewhere   ok
member_elsewhere  ok
""")
CASES = grid("""
                  there never
anonymous         in    in
locked            in    in
member            ok    404
hider             ok    404
coach             ok    404
owner             ok    404
ex_member         ok    404
coach_elsewhere   ok    404
member_elsewhere  ok    404
""")

# Things of one person: a log is seen by those it is shown to.
SIGHT = grid("""
                  own  shown  to_coach  hidden  other  gone  never
anonymous         in   in     in        in      in     in    in
locked            in   in     in        in      in     in    in
member            ok   ok     404       404     404    404   404
hider             ok   ok     404       404     404    404   404
coach             ok   ok     ok        404     404    404   404
owner             ok   ok     ok        404     404    404   404
ex_member         ok   404    404       404     404    404   404
coach_elsewhere   ok   404    404       404     ok     404   404
member_elsewhere  ok   404    404       404     ok     404   404
""")
# The same by membership: who left has none.
MEMBER_SIGHT = grid("""
                  own  shown  to_coach  hidden  other  gone  never
anonymous         in   in     in        in      in     in    in
locked            in   in     in        in      in     in    in
member            ok   ok     404       404     404    404   404
hider             ok   ok     404       404     404    404   404
coach             ok   ok     ok        404     404    404   404
owner             ok   ok     ok        404     404    404   404
ex_member         404  404    404       404     404    404   404
coach_elsewhere   ok   404    404       404     ok     404   404
member_elsewhere  ok   404    404       404     ok     404   404
""")
# What a coach does with a member whose log they may read, themselves among them.
COACHED = grid("""
                  own  shown  to_coach  hidden  other  gone  never
anonymous         in   in     in        in      in     in    in
locked            in   in     in        in      in     in    in
member            404  404    404       404     404    404   404
hider             404  404    404       404     404    404   404
coach             ok   ok     ok        404     404    404   404
owner             ok   ok     ok        404     404    404   404
ex_member         404  404    404       404     404    404   404
coach_elsewhere   ok   404    404       404     ok     404   404
member_elsewhere  404  404    404       404     404    404   404
""")
# Files and set-aside rows are their member's own, however much is shown.
OWN = grid("""
                  own  shown  to_coach  hidden  other  gone  never
anonymous         in   in     in        in      in     in    in
locked            in   in     in        in      in     in    in
member            ok   404    404       404     404    404   404
hider             ok   404    404       404     404    404   404
coach             ok   404    404       404     404    404   404
owner             ok   404    404       404     404    404   404
ex_member         ok   404    404       404     404    404   404
coach_elsewhere   ok   404    404       404     404    404   404
member_elsewhere  ok   404    404       404     404    404   404
""")

# Clubs: ``own`` is the first club for all but those elsewhere, whose own is the second.
IN_CLUB = grid("""
                  own  other  gone  never
anonymous         in   in     in    in
locked            in   in     in    in
member            ok   404    404   404
hider             ok   404    404   404
coach             ok   404    404   404
owner             ok   404    404   404
ex_member         404  404    404   404
coach_elsewhere   ok   404    404   404
member_elsewhere  ok   404    404   404
""")
LEAVING = grid("""
                  own  other  gone  never
anonymous         in   in     in    in
locked            in   in     in    in
member            ok   404    404   404
hider             ok   404    404   404
coach             ok   404    404   404
owner             302  404    404   404
ex_member         404  404    404   404
coach_elsewhere   ok   404    404   404
member_elsewhere  ok   404    404   404
""")
COACHES = grid("""
                  own  other  gone  never
anonymous         in   in     in    in
locked            in   in     in    in
member            404  404    404   404
hider             404  404    404   404
coach             ok   404    404   404
owner             ok   404    404   404
ex_member         404  404    404   404
coach_elsewhere   ok   404    404   404
member_elsewhere  404  404    404   404
""")
# Too few agreed in these clubs, so that even their coaches get no file.
TOO_FEW = grid("""
                  own  other  gone  never
anonymous         in   in     in    in
locked            in   in     in    in
member            404  404    404   404
hider             404  404    404   404
coach             302  404    404   404
owner             302  404    404   404
ex_member         404  404    404   404
coach_elsewhere  302  404    404   404
member_elsewhere  404  404    404   404
""")
OWNER = grid("""
                  own  other  gone  never
anonymous         in   in     in    in
locked            in   in     in    in
member            404  404    404   404
hider             404  404    404   404
coach             403  404    404   404
owner             ok   404    404   404
ex_member         404  404    404   404
coach_elsewhere   403  404    404   404
member_elsewhere  404  404    404   404
""")
# Things of one club, for its coaches; ``crossed`` is another club's under one's own club's address.
CLUB_THING = grid("""
                  own  other  crossed  gone  never
anonymous         in   in     in       in    in
locked            in   in     in       in    in
member            404  404    404      404   404
hider             404  404    404      404   404
coach             ok   404    404      404   404
owner             ok   404    404      404   404
ex_member         404  404    404      404   404
coach_elsewhere   ok   404    404      404   404
member_elsewhere  404  404    404      404   404
""")

# People of a club: oneself, a member who shows their log, one who hides it, another coach, the owner.
REMOVING = grid("""
                  self  shown  hidden  second  chief  other  crossed  gone  never
anonymous         in    in     in      in      in     in     in       in    in
locked            in    in     in      in      in     in     in       in    in
member            404   404    404     404     404    404    404      404   404
hider             404   404    404     404     404    404    404      404   404
coach             302   ok     ok      403     403    404    404      404   404
owner             302   ok     ok      ok      302    404    404      404   404
ex_member         404   404    404     404     404    404    404      404   404
coach_elsewhere   302  404    404     404     404    ok     404      404   404
member_elsewhere  404   404    404     404     404    404    404      404   404
""")
ROLE_CHANGING = grid("""
                  self  shown  hidden  second  chief  other  crossed  gone  never
anonymous         in    in     in      in      in     in     in       in    in
locked            in    in     in      in      in     in     in       in    in
member            404   404    404     404     404    404    404      404   404
hider             404   404    404     404     404    404    404      404   404
coach             403   403    403     403     403    404    404      404   404
owner             403   ok     ok      302     403    404    404      404   404
ex_member         404   404    404     404     404    404    404      404   404
coach_elsewhere   403   404    404     404     404    403    404      404   404
member_elsewhere  404   404    404     404     404    404    404      404   404
""")
HANDING_OVER = grid("""
                  self  shown  hidden  second  chief  other  crossed  gone  never
anonymous         in    in     in      in      in     in     in       in    in
locked            in    in     in      in      in     in     in       in    in
member            404   404    404     404     404    404    404      404   404
hider             404   404    404     404     404    404    404      404   404
coach             403   403    403     403     403    404    404      404   404
owner             302   ok     ok      ok      302    404    404      404   404
ex_member         404   404    404     404     404    404    404      404   404
coach_elsewhere   403   404    404     404     404    403    404      404   404
member_elsewhere  404   404    404     404     404    404    404      404   404
""")
HANDING_OVER_ASKED = grid("""
                  self  shown  hidden  second  chief  other  crossed  gone  never
anonymous         in    in     in      in      in     in     in       in    in
locked            in    in     in      in      in     in     in       in    in
member            404   404    404     404     404    404    404      404   404
hider             404   404    404     404     404    404    404      404   404
coach             403   403    403     403     403    404    404      404   404
owner             403   ok     ok      ok      403    404    404      404   404
ex_member         404   404    404     404     404    404    404      404   404
coach_elsewhere   403   404    404     404     404    403    404      404   404
member_elsewhere  404   404    404     404     404    404    404      404   404
""")
