"""The export of sightings for research, of members who agreed.

`figures` has the columns once; schema, page and Markdown (``manage.py research_export
--dictionary``) are made of them. Who is in it is decided in `selectors`: those who agreed and whose
log the coach may read, five at the least. Made-up names hang on a key that is thrown away. Nothing
is added to the columns that a member has not been told on ``/how/research/``.
"""
