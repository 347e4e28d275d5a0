"""Clubs and who is in them, who sees whose log, invitations, tokens, the trail.

**The rule of sight stands in `logs.people.sight`, and nowhere else.** A page or an endpoint asks it
once and hands on the value that proves the answer, which nothing but the rule can make:

- `sight_of(actor=, membership_id=)`: a `Sight` of a member's log, one's own without an id;
- `sight_of_member(actor=, member=)`: the same where the account is what is known, as of a solve;
- `club_sight(actor=, slug=)`: a `ClubSight`, with a `SightedMember` (``.sight``, ``.user_id``) for
  each member whose log the reader may open, and ``.club_row``, ``.zone``, ``.user_ids``.

A selector that reads one log takes ``sight: Sight`` and reads ``sight.member``; one that reads a
club's logs takes ``sight: ClubSight`` and filters by ``sight.user_ids``. A selector that still has
``actor=`` and ``member=`` may be handed a `Sight` as the member: `check_sight` asks nothing then and
answers with the account. In a report the field is declared by the data alone, `Whose`, `ClubView`,
`ClubMember`, `ClubName`; a `Sight` is a `Whose`, a `ClubSight` is a `ClubView`.
"""
