"""The first page after sign-in: a member's home, and a coach's desk for each club that they coach.

It draws together what other rooms tell, so it may use them all, and none uses it. Nothing here
counts days or compares members: a line says what there is and leads to what can be done about it.
"""
