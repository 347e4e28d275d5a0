"""A lesson on the wall: taught from one page, answered from phones in the room.

The page holds all of it, so that nothing is lost when the network drops after it was opened. What
the room answers is counted by seat: a seat is worked out from the wall and the member with the
site's secret and holds no name; it goes with the wall, which is closed by the coach or ends after
`models.OPEN_FOR`. An answer is a member's practice answer only where that member says so.
"""
