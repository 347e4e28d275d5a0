"""Tokens for members' programs, told in the trail, whose triggers are made anew around it."""

from importlib import import_module

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

_triggers = import_module("logs.migrations.0006_audit_append_only")


class Migration(migrations.Migration):

    dependencies = [
        ('logs', '0017_column_mappings'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(_triggers.drop_triggers, _triggers.add_triggers),
        migrations.CreateModel(
            name='ApiToken',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60)),
                ('token_hash', models.CharField(max_length=64, unique=True)),
                ('scopes', models.JSONField()),
                ('made_at', models.DateTimeField()),
                ('expires_at', models.DateTimeField()),
                ('last_used_at', models.DateTimeField(null=True)),
            ],
        ),
        migrations.RemoveConstraint(
            model_name='auditevent',
            name='audit_event_verb_known',
        ),
        migrations.AlterField(
            model_name='auditevent',
            name='verb',
            field=models.CharField(choices=[('look', 'looked'), ('club_found', 'founded the club'), ('club_close', 'closed the club'), ('join', 'joined the club'), ('leave', 'left the club'), ('remove', 'removed somebody from the club'), ('rename', 'changed the name shown in the club'), ('role', 'changed a role'), ('hand_over', 'handed the club over'), ('visibility', 'changed who sees the log'), ('research', 'changed whether sightings go into research exports'), ('invite', 'made an invitation'), ('invite_withdraw', 'withdrew an invitation'), ('token_make', 'made a token for programs'), ('token_withdraw', 'withdrew a token for programs'), ('export', 'took a copy of everything'), ('erase', 'erased an account')], max_length=20),
        ),
        migrations.AddConstraint(
            model_name='auditevent',
            constraint=models.CheckConstraint(condition=models.Q(('verb__in', ['look', 'club_found', 'club_close', 'join', 'leave', 'remove', 'rename', 'role', 'hand_over', 'visibility', 'research', 'invite', 'invite_withdraw', 'token_make', 'token_withdraw', 'export', 'erase'])), name='audit_event_verb_known'),
        ),
        migrations.AddField(
            model_name='apitoken',
            name='member',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='api_tokens', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name='apitoken',
            constraint=models.UniqueConstraint(fields=('member', 'name'), name='token_once_for_name'),
        ),
        migrations.AddConstraint(
            model_name='apitoken',
            constraint=models.CheckConstraint(condition=models.Q(('expires_at__gt', models.F('made_at'))), name='token_works_for_a_while'),
        ),
        migrations.RunPython(_triggers.add_triggers, _triggers.drop_triggers),
    ]
