"""Demo solves written down by typing the first two layers and picking offers have the same labels.

The truth is the solve in the log, labelled without its times, as a written one has none.
"""

import pytest

from cubecore.writeup import read_writeup
from tests.demo.written import BOOK, demo_solves, labels, write_down

MOST_TYPED_SHARE = 0.6
"""A promise of the page."""


@pytest.mark.parametrize("log", ["juno.csv", "kestrel.jsonl", "quill.jsonl"])
def test_solves_written_by_offers_are_labelled_as_they_were_turned(log):
    n_typed = n_tokens = 0
    for row in demo_solves(log, 20):

        def offers(text: str, scramble: str = row.scramble) -> list[str]:
            return [offer.text for offer in read_writeup(scramble, text, BOOK).offers]

        written = write_down(row, offers)
        assert labels(row._replace(solution=written.text)) == labels(row)
        n_typed, n_tokens = n_typed + written.n_typed, n_tokens + written.n_tokens
    assert n_typed <= MOST_TYPED_SHARE * n_tokens
