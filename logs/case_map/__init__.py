"""All cases at once: where the reader stands with each, what is wanted of them, a poster to print.

What solves show comes first. A member's own word on a case is kept apart, in no figure, and stands
only while no solve shows the case.
"""
