"""What is kept about a person: shown, copied, erased.

Erasure deletes by relation: a member's own rows hang on the account with ``CASCADE``, what others
own and somebody made hangs with ``SET_NULL``. What is newly kept about a person needs its way into
the copy, out by erasure, and onto the page "What we keep".
"""
