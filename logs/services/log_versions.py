"""How often a log changed: what figures kept about it are told apart by."""

from django.db.models import F

from logs.models import LogVersion


def log_changed(*, member_id: int) -> None:
    """Raise the version of a member's log.

    Call it in the transaction that adds, removes or relabels solves, under the log's lock;
    `logs.services.tallies` does so for all of its callers.
    """
    raised = LogVersion.objects.filter(member=member_id).update(version=F("version") + 1)
    if not raised:
        LogVersion.objects.create(member_id=member_id)
