"""Uploads taken back, rows beside the log, changes by hand; undated solves counted by parts."""

from importlib import import_module

import django.db.models.deletion
import django.db.models.expressions
from django.conf import settings
from django.db import migrations, models

_triggers = import_module("logs.migrations.0006_audit_append_only")


class Migration(migrations.Migration):

    dependencies = [
        ('logs', '0033_coaches_words'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(_triggers.drop_triggers, _triggers.add_triggers),
        # Undated solves are counted by parts now, which `manage.py retally` counts anew.
        migrations.RunSQL(
            [
                "DELETE FROM logs_caseweektally WHERE week IS NULL",
                "DELETE FROM logs_weektally WHERE week IS NULL",
            ],
            migrations.RunSQL.noop,
        ),
        migrations.CreateModel(
            name='KeptRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('line', models.PositiveIntegerField()),
                ('fate', models.CharField(max_length=10)),
                ('solve_number', models.BigIntegerField(db_index=True)),
                ('is_away', models.BooleanField(default=False)),
                ('key', models.CharField(blank=True, max_length=64)),
                ('place', models.BigIntegerField(null=True)),
                ('sent', models.JSONField(null=True)),
                ('correction', models.JSONField(null=True)),
                ('decided_at', models.DateTimeField(null=True)),
            ],
        ),
        migrations.CreateModel(
            name='SolveChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('solve_number', models.BigIntegerField()),
                ('change', models.CharField(max_length=10)),
                ('at', models.DateTimeField()),
                ('before', models.JSONField(default=dict)),
                ('after', models.JSONField(default=dict)),
            ],
        ),
        migrations.RemoveConstraint(
            model_name='auditevent',
            name='audit_event_verb_known',
        ),
        migrations.RemoveConstraint(
            model_name='caseweektally',
            name='case_week_tally_undated_once',
        ),
        migrations.RemoveConstraint(
            model_name='upload',
            name='upload_once_for_member',
        ),
        migrations.RemoveConstraint(
            model_name='upload',
            name='upload_rows_accounted',
        ),
        migrations.RemoveConstraint(
            model_name='weektally',
            name='week_tally_undated_once',
        ),
        migrations.AddField(
            model_name='caseweektally',
            name='part',
            field=models.PositiveBigIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='solve',
            name='as_sent',
            field=models.JSONField(null=True),
        ),
        migrations.AddField(
            model_name='solve',
            name='correction',
            field=models.JSONField(null=True),
        ),
        migrations.AddField(
            model_name='solve',
            name='place',
            field=models.BigIntegerField(null=True),
        ),
        migrations.AddField(
            model_name='upload',
            name='n_completed',
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='upload',
            name='n_deleted',
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='upload',
            name='n_on_hold',
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='upload',
            name='taken_back_at',
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name='uploaddraft',
            name='replaces',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='logs.upload'),
        ),
        migrations.AddField(
            model_name='weektally',
            name='part',
            field=models.PositiveBigIntegerField(default=0),
        ),
        migrations.AlterField(
            model_name='auditevent',
            name='verb',
            field=models.CharField(choices=[('look', 'looked'), ('club_found', 'founded the club'), ('club_close', 'closed the club'), ('join', 'joined the club'), ('leave', 'left the club'), ('remove', 'removed somebody from the club'), ('rename', 'changed the name shown in the club'), ('role', 'changed a role'), ('hand_over', 'handed the club over'), ('visibility', 'changed who sees the log'), ('research', 'changed whether sightings go into research exports'), ('invite', 'made an invitation'), ('invite_withdraw', 'withdrew an invitation'), ('token_make', 'made a token for programs'), ('token_withdraw', 'withdrew a token for programs'), ('contact', 'changed who answers for the club'), ('password_code', 'made a code for a forgotten password'), ('password_reset', 'chose a new password with a code or a mailed link'), ('mail_address', 'changed the e-mail address'), ('upload_take_back', 'took an upload back'), ('upload_put_back', 'put an upload back'), ('solve_delete', 'deleted a solve'), ('solve_put_back', 'put a deleted solve back'), ('solve_correct', 'corrected a solve'), ('solve_decide', 'decided between two rows of a log'), ('export', 'took a copy of everything'), ('erase', 'erased an account')], max_length=20),
        ),
        migrations.AddIndex(
            model_name='solve',
            index=models.Index(fields=['member', 'place'], name='solve_by_place'),
        ),
        migrations.AddIndex(
            model_name='upload',
            index=models.Index(condition=models.Q(('taken_back_at__isnull', False)), fields=['taken_back_at'], name='upload_taken_back'),
        ),
        migrations.AddConstraint(
            model_name='auditevent',
            constraint=models.CheckConstraint(condition=models.Q(('verb__in', ['look', 'club_found', 'club_close', 'join', 'leave', 'remove', 'rename', 'role', 'hand_over', 'visibility', 'research', 'invite', 'invite_withdraw', 'token_make', 'token_withdraw', 'contact', 'password_code', 'password_reset', 'mail_address', 'upload_take_back', 'upload_put_back', 'solve_delete', 'solve_put_back', 'solve_correct', 'solve_decide', 'export', 'erase'])), name='audit_event_verb_known'),
        ),
        migrations.AddConstraint(
            model_name='caseweektally',
            constraint=models.UniqueConstraint(condition=models.Q(('week', None)), fields=('member', 'kind', 'stage', 'case', 'part'), name='case_week_tally_undated_once'),
        ),
        migrations.AddConstraint(
            model_name='upload',
            constraint=models.UniqueConstraint(condition=models.Q(('taken_back_at', None)), fields=('member', 'sha256'), name='upload_once_for_member'),
        ),
        migrations.AddConstraint(
            model_name='upload',
            constraint=models.CheckConstraint(condition=models.Q(('n_rows', django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(django.db.models.expressions.CombinedExpression(models.F('n_taken'), '+', models.F('n_doubled')), '+', models.F('n_set_aside')), '+', models.F('n_completed')), '+', models.F('n_on_hold')), '+', models.F('n_deleted')))), name='upload_rows_accounted'),
        ),
        migrations.AddConstraint(
            model_name='weektally',
            constraint=models.UniqueConstraint(condition=models.Q(('week', None)), fields=('member', 'kind', 'part'), name='week_tally_undated_once'),
        ),
        migrations.AddField(
            model_name='keptrow',
            name='member',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='keptrow',
            name='upload',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='kept_rows', to='logs.upload'),
        ),
        migrations.AddField(
            model_name='solvechange',
            name='member',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddIndex(
            model_name='keptrow',
            index=models.Index(condition=models.Q(('key', ''), _negated=True), fields=['member', 'key'], name='kept_row_by_key'),
        ),
        migrations.AddIndex(
            model_name='keptrow',
            index=models.Index(condition=models.Q(('fate', 'deleted')), fields=['member', 'place'], name='kept_row_deleted_by_place'),
        ),
        migrations.AddConstraint(
            model_name='keptrow',
            constraint=models.UniqueConstraint(fields=('upload', 'line'), name='kept_row_once_for_line'),
        ),
        migrations.AddConstraint(
            model_name='keptrow',
            constraint=models.CheckConstraint(condition=models.Q(('fate__in', ['taken', 'doubled', 'completes', 'corrects', 'on_hold', 'deleted'])), name='kept_row_fate_known'),
        ),
        migrations.AddConstraint(
            model_name='keptrow',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('fate', 'doubled'), ('key', ''), ('place', None), ('sent', None)), models.Q(models.Q(('key', ''), _negated=True), ('place__isnull', False), ('sent__isnull', False)), _connector='OR'), name='kept_row_whole_or_same'),
        ),
        migrations.AddConstraint(
            model_name='keptrow',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('fate', 'taken'), _negated=True), ('is_away', True), _connector='OR'), name='kept_row_taken_is_away'),
        ),
        migrations.AddIndex(
            model_name='solvechange',
            index=models.Index(fields=['member', 'solve_number'], name='solve_change_by_solve'),
        ),
        migrations.AddConstraint(
            model_name='solvechange',
            constraint=models.CheckConstraint(condition=models.Q(('change__in', ['corrected', 'deleted', 'put_back', 'decided'])), name='solve_change_known'),
        ),
        migrations.RunPython(_triggers.add_triggers, _triggers.drop_triggers),
    ]
