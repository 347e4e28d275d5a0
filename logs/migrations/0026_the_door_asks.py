"""The door asks who sees the log; codes that last; who answers for a club; forgotten passwords."""

from importlib import import_module

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


_triggers = import_module("logs.migrations.0006_audit_append_only")


class Migration(migrations.Migration):

    dependencies = [
        ('logs', '0025_each_member_is_asked_each_case'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(_triggers.drop_triggers, _triggers.add_triggers),
        migrations.CreateModel(
            name='PasswordCode',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code_hash', models.CharField(max_length=64)),
                ('created_at', models.DateTimeField()),
                ('expires_at', models.DateTimeField()),
            ],
        ),
        migrations.RemoveConstraint(
            model_name='auditevent',
            name='audit_event_verb_known',
        ),
        migrations.AddField(
            model_name='club',
            name='contact_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='club',
            name='contact_name',
            field=models.CharField(blank=True, max_length=100),
        ),
        migrations.AddField(
            model_name='club',
            name='contact_reach',
            field=models.CharField(blank=True, max_length=100),
        ),
        migrations.AddField(
            model_name='invitation',
            name='seed',
            field=models.CharField(blank=True, max_length=32),
        ),
        migrations.AlterField(
            model_name='auditevent',
            name='verb',
            field=models.CharField(choices=[('look', 'looked'), ('club_found', 'founded the club'), ('club_close', 'closed the club'), ('join', 'joined the club'), ('leave', 'left the club'), ('remove', 'removed somebody from the club'), ('rename', 'changed the name shown in the club'), ('role', 'changed a role'), ('hand_over', 'handed the club over'), ('visibility', 'changed who sees the log'), ('research', 'changed whether sightings go into research exports'), ('invite', 'made an invitation'), ('invite_withdraw', 'withdrew an invitation'), ('token_make', 'made a token for programs'), ('token_withdraw', 'withdrew a token for programs'), ('contact', 'changed who answers for the club'), ('password_code', 'made a code for a forgotten password'), ('password_reset', 'chose a new password with a code'), ('export', 'took a copy of everything'), ('erase', 'erased an account')], max_length=20),
        ),
        migrations.AddConstraint(
            model_name='auditevent',
            constraint=models.CheckConstraint(condition=models.Q(('verb__in', ['look', 'club_found', 'club_close', 'join', 'leave', 'remove', 'rename', 'role', 'hand_over', 'visibility', 'research', 'invite', 'invite_withdraw', 'token_make', 'token_withdraw', 'contact', 'password_code', 'password_reset', 'export', 'erase'])), name='audit_event_verb_known'),
        ),
        migrations.AddField(
            model_name='passwordcode',
            name='created_by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='passwordcode',
            name='user',
            field=models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='password_code', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name='passwordcode',
            constraint=models.CheckConstraint(condition=models.Q(('expires_at__gt', models.F('created_at'))), name='password_code_expires_after_made'),
        ),
        migrations.RunPython(_triggers.add_triggers, _triggers.drop_triggers),
    ]
