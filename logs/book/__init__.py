"""The club's book: its pages, what members use of it, labels made anew after a change."""
