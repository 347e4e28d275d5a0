"""Work behind a request: queue, leases, progress.

A row of `Job` is the truth about work behind a request; whatever runs it carries its number alone.
A worker claims it by one ``UPDATE`` and holds it by a token and a lease of 60 s. Each chunk (500 rows
or solves) is one transaction that locks the member's log, checks the token, and writes rows and
progress together; labels are made outside it, and on SQLite there are 20 ms between chunks, so that
pages get their turn. So a killed worker's job goes on at the next unread row, a cancelled one stops
between chunks, and a worker that lost its lease writes nothing. A log of more than
``INLINE_ROWS`` rows (settings) goes behind the request; a shorter one takes the same path inside it.
"""
