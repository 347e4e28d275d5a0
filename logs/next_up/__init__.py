"""What to learn next: gains of each case, their order, the coach's own words.

The order goes by the club's own book. A coach's word on a case stands above the figures, with its
reason, which the member reads.
"""
