"""What pages and the API share: who asks, refusals, one way to answer, the schema.

Tokens sign in to the API and nothing else does: no session, so no CSRF. Who asks and how often is
decided by the classes that the settings name (`logs.people.authentication`). A report answers as it
is: each field described by its docstring, made a serializer by a kept library. Programs that poll
get 304 where nothing changed. Wrong values of a query are refused by the API and passed over by a
page, from the same choices.
"""
