import numpy as np
import pandas as pd
from statsmodels.stats.multitest import multipletests

from logs.analytics.flags import flagged


def test_the_published_example():
    """Benjamini and Hochberg 1995, section 3.2 (from memory): 15 tests, at 5 % four are flagged."""
    p_values = pd.Series(
        [
            0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344,
            0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0,
        ]
    )  # fmt: skip
    assert flagged(p_values, false_share=0.05).sum() == 4


def test_it_equals_another_library():
    p_values = pd.Series(np.random.default_rng(6).uniform(0, 1, 57) ** 3)
    expected = multipletests(p_values, alpha=0.10, method="fdr_bh")[0]
    assert flagged(p_values).to_list() == expected.tolist()


def test_cells_without_a_test_are_not_flagged_and_count_for_none():
    p_values = pd.Series([0.001, np.nan, 0.5], index=["a", "b", "c"])
    assert flagged(p_values).to_dict() == {"a": True, "b": False, "c": False}


def test_dumb_cases():
    assert flagged(pd.Series(dtype=float)).empty
    assert not flagged(pd.Series([np.nan, np.nan])).any()
