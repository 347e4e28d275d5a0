"""Members' own word on research, told in the trail, whose triggers are made anew around it."""

from importlib import import_module

from django.conf import settings
from django.db import migrations, models

_triggers = import_module("logs.migrations.0006_audit_append_only")


class Migration(migrations.Migration):

    dependencies = [
        ('logs', '0014_jobs'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(_triggers.drop_triggers, _triggers.add_triggers),
        migrations.RemoveConstraint(
            model_name='auditevent',
            name='audit_event_verb_known',
        ),
        migrations.AddField(
            model_name='membership',
            name='is_in_research',
            field=models.BooleanField(default=False),
        ),
        migrations.AlterField(
            model_name='auditevent',
            name='verb',
            field=models.CharField(choices=[('look', 'looked'), ('club_found', 'founded the club'), ('club_close', 'closed the club'), ('join', 'joined the club'), ('leave', 'left the club'), ('remove', 'removed somebody from the club'), ('rename', 'changed the name shown in the club'), ('role', 'changed a role'), ('hand_over', 'handed the club over'), ('visibility', 'changed who sees the log'), ('research', 'changed whether sightings go into research exports'), ('invite', 'made an invitation'), ('invite_withdraw', 'withdrew an invitation'), ('export', 'took a copy of everything'), ('erase', 'erased an account')], max_length=20),
        ),
        migrations.AddConstraint(
            model_name='auditevent',
            constraint=models.CheckConstraint(condition=models.Q(('verb__in', ['look', 'club_found', 'club_close', 'join', 'leave', 'remove', 'rename', 'role', 'hand_over', 'visibility', 'research', 'invite', 'invite_withdraw', 'export', 'erase'])), name='audit_event_verb_known'),
        ),
        migrations.RunPython(_triggers.add_triggers, _triggers.drop_triggers),
    ]
