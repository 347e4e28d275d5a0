"""A new password is an event; tries are counted by the accounts, in a table of theirs."""

from importlib import import_module

from django.conf import settings
from django.db import migrations, models

_triggers = import_module("logs.migrations.0006_audit_append_only")


class Migration(migrations.Migration):

    dependencies = [
        ('logs', '0037_writeups'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(_triggers.drop_triggers, _triggers.add_triggers),
        migrations.DeleteModel(
            name='Throttle',
        ),
        migrations.RemoveConstraint(
            model_name='auditevent',
            name='audit_event_verb_known',
        ),
        migrations.AlterField(
            model_name='auditevent',
            name='verb',
            field=models.CharField(choices=[('look', 'looked'), ('club_found', 'founded the club'), ('club_close', 'closed the club'), ('join', 'joined the club'), ('leave', 'left the club'), ('remove', 'removed somebody from the club'), ('rename', 'changed the name shown in the club'), ('role', 'changed a role'), ('hand_over', 'handed the club over'), ('visibility', 'changed who sees the log'), ('research', 'changed whether sightings go into research exports'), ('invite', 'made an invitation'), ('invite_withdraw', 'withdrew an invitation'), ('token_make', 'made a token for programs'), ('token_withdraw', 'withdrew a token for programs'), ('contact', 'changed who answers for the club'), ('password_code', 'made a code for a forgotten password'), ('password_reset', 'chose a new password with a code or a mailed link'), ('password_change', 'changed the password'), ('mail_address', 'changed the e-mail address'), ('upload_take_back', 'took an upload back'), ('upload_put_back', 'put an upload back'), ('solve_delete', 'deleted a solve'), ('solve_put_back', 'put a deleted solve back'), ('solve_correct', 'corrected a solve'), ('solve_decide', 'decided between two rows of a log'), ('export', 'took a copy of everything'), ('erase', 'erased an account')], max_length=20),
        ),
        migrations.AddConstraint(
            model_name='auditevent',
            constraint=models.CheckConstraint(condition=models.Q(('verb__in', ['look', 'club_found', 'club_close', 'join', 'leave', 'remove', 'rename', 'role', 'hand_over', 'visibility', 'research', 'invite', 'invite_withdraw', 'token_make', 'token_withdraw', 'contact', 'password_code', 'password_reset', 'password_change', 'mail_address', 'upload_take_back', 'upload_put_back', 'solve_delete', 'solve_put_back', 'solve_correct', 'solve_decide', 'export', 'erase'])), name='audit_event_verb_known'),
        ),
        migrations.RunPython(_triggers.add_triggers, _triggers.drop_triggers),
    ]
