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

A change to who is in a club, as what, or who sees a log writes one `AuditEvent` in its own
transaction; a view that shows somebody else's log or figures notes the look
(`logs.people.services.trail.looked`), and the member reads who looked. Triggers refuse to change or
delete an event; a row may only forget whom it names. A migration that alters that table must make
the triggers anew. A token is 256 random bits kept as their SHA-256; it is looked up in each
request, so a withdrawal or a locked account works at the next. Rights are read from the database in
each request. Other rooms listen to `signals`.
"""
