"""Groups in a club, visits to the desk, weekly letters, calendars by a secret address."""

from importlib import import_module

import django.db.models.deletion
import django.db.models.expressions
import django.db.models.functions.text
from django.conf import settings
from django.db import migrations, models


_triggers = import_module("logs.migrations.0006_audit_append_only")


class Migration(migrations.Migration):

    dependencies = [
        ('logs', '0031_drill_times'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(_triggers.drop_triggers, _triggers.add_triggers),
        migrations.CreateModel(
            name='CalendarFeed',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('seed', models.CharField(max_length=32)),
                ('secret_hash', models.CharField(max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name='DeskVisit',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('seen_at', models.DateTimeField()),
                ('since_at', models.DateTimeField()),
                ('mix_ups', models.JSONField(default=dict)),
                ('mix_ups_before', models.JSONField(null=True)),
            ],
        ),
        migrations.CreateModel(
            name='Group',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60)),
            ],
        ),
        migrations.CreateModel(
            name='WeeklyLetter',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('week_on', models.DateField()),
                ('since_at', models.DateTimeField()),
                ('mix_ups', models.JSONField(null=True)),
            ],
        ),
        migrations.RemoveConstraint(
            model_name='auditevent',
            name='audit_event_verb_known',
        ),
        migrations.RemoveConstraint(
            model_name='job',
            name='job_kind_fits',
        ),
        migrations.RemoveConstraint(
            model_name='job',
            name='job_rows_accounted',
        ),
        migrations.AlterField(
            model_name='auditevent',
            name='verb',
            field=models.CharField(choices=[('look', 'looked'), ('club_found', 'founded the club'), ('club_close', 'closed the club'), ('join', 'joined the club'), ('leave', 'left the club'), ('remove', 'removed somebody from the club'), ('rename', 'changed the name shown in the club'), ('role', 'changed a role'), ('hand_over', 'handed the club over'), ('visibility', 'changed who sees the log'), ('research', 'changed whether sightings go into research exports'), ('invite', 'made an invitation'), ('invite_withdraw', 'withdrew an invitation'), ('token_make', 'made a token for programs'), ('token_withdraw', 'withdrew a token for programs'), ('contact', 'changed who answers for the club'), ('password_code', 'made a code for a forgotten password'), ('password_reset', 'chose a new password with a code or a mailed link'), ('mail_address', 'changed the e-mail address'), ('export', 'took a copy of everything'), ('erase', 'erased an account')], max_length=20),
        ),
        migrations.AddConstraint(
            model_name='auditevent',
            constraint=models.CheckConstraint(condition=models.Q(('verb__in', ['look', 'club_found', 'club_close', 'join', 'leave', 'remove', 'rename', 'role', 'hand_over', 'visibility', 'research', 'invite', 'invite_withdraw', 'token_make', 'token_withdraw', 'contact', 'password_code', 'password_reset', 'mail_address', 'export', 'erase'])), name='audit_event_verb_known'),
        ),
        migrations.AddConstraint(
            model_name='job',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('club', None), ('kind', 'upload'), ('member__isnull', False), ('part_of', None), ('upload__isnull', False)), models.Q(('kind', 'relabel'), ('upload', None)), models.Q(('club__isnull', False), ('kind', 'letter'), ('member__isnull', False), ('part_of', None), ('upload', None)), _connector='OR'), name='job_kind_fits'),
        ),
        migrations.AddConstraint(
            model_name='job',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('kind', 'upload'), ('n_changed', 0), ('n_read', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('n_taken'), '+', models.F('n_doubled')), '+', models.F('n_set_aside'))), ('n_read__lte', models.F('n_total')), ('n_refused', 0)), models.Q(('kind', 'letter'), ('n_changed', 0), ('n_doubled', 0), ('n_read__lte', models.F('n_total')), ('n_refused', 0), ('n_set_aside', 0), ('n_taken', 0), ('n_total__lte', 1)), models.Q(('kind', 'relabel'), ('n_doubled', 0), ('n_read__gte', django.db.models.expressions.CombinedExpression(models.F('n_changed'), '+', models.F('n_refused'))), ('n_set_aside', 0), ('n_taken', 0)), _connector='OR'), name='job_rows_accounted'),
        ),
        migrations.AddField(
            model_name='calendarfeed',
            name='member',
            field=models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='calendar_feed', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='deskvisit',
            name='membership',
            field=models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='desk_visit', to='logs.membership'),
        ),
        migrations.AddField(
            model_name='group',
            name='club',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='groups', to='logs.club'),
        ),
        migrations.AddField(
            model_name='group',
            name='members',
            field=models.ManyToManyField(related_name='groups', to='logs.membership'),
        ),
        migrations.AddField(
            model_name='weeklyletter',
            name='membership',
            field=models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='weekly_letter', to='logs.membership'),
        ),
        migrations.AddConstraint(
            model_name='group',
            constraint=models.UniqueConstraint(models.F('club'), django.db.models.functions.text.Lower('name'), name='group_once_in_club'),
        ),
        migrations.AddConstraint(
            model_name='group',
            constraint=models.CheckConstraint(condition=models.Q(('name', ''), _negated=True), name='group_named'),
        ),
        migrations.RunPython(_triggers.add_triggers, _triggers.drop_triggers),
    ]
