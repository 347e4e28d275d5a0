"""``manage.py information``: what each look at the last layer gives away, in bits."""

from typing import Any

from django.core.management.base import BaseCommand

from logs.cases.report import StageInformation, information_report


class Command(BaseCommand):
    """Print the figures of both stages."""

    help = "Print how much of a case is left after the top, the front row and the right row."

    def handle(self, *args: Any, **options: Any) -> None:
        """Print them."""
        for stage in information_report():
            self._print(stage)

    def _print(self, stage: StageInformation) -> None:
        self.stdout.write(f"{stage.stage.upper()}: after looking at")
        for left in stage.remainders:
            self.stdout.write(
                f"  {left.seen:10} {left.bits:6.3f} bits left,"
                f" {100 * left.settled_share:6.2f} % of solves settled"
            )
        if stage.shared:
            self.stdout.write(
                f"  {stage.n_shapes} shapes on top, {stage.n_single} of them one case's own;"
                " the others, with the most stickers that settle a case:"
            )
        for shape in stage.shared:
            self.stdout.write(f"  {shape.n_stickers}  {', '.join(shape.cases)}")
