"""One member's figures: over all, over time, by case; the page of a case."""
