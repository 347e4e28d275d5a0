"""The command prints what the page shows."""

from io import StringIO
from math import log2

from django.core.management import call_command

from cubecore.cases import CASES, Stage
from logs.cases.report import information_report


def test_the_figures_of_both_stages_are_printed():
    out = StringIO()
    call_command("information", stdout=out)
    printed = out.getvalue()
    for stage in information_report():
        assert f"{stage.stage.upper()}: after looking at" in printed
        for left in stage.remainders:
            line = next(one for one in printed.splitlines() if f"{left.bits:.3f} bits" in one)
            assert "% of solves settled" in line
        for shape in stage.shared:
            assert f"  {shape.n_stickers}  {', '.join(shape.cases)}" in printed
    # Before any look it is the entropy of the chances (Shannon 1948), the skip's among them.
    chances = [1, *(case.chance for case in CASES.values() if case.id.stage is Stage.OLL)]
    entropy = sum(k / 216 * log2(216 / k) for k in chances)
    assert f"{entropy:.3f} bits left,   0.00 %" in printed
