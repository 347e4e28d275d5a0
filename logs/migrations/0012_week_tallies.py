"""Tallies by week. Filled by ``manage.py retally``, or for one member by their next upload."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('logs', '0011_practice_cap'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='casetally',
            name='execution_ms_sum',
            field=models.PositiveBigIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='casetally',
            name='recent_places',
            field=models.BinaryField(default=bytes),
        ),
        migrations.AddField(
            model_name='casetally',
            name='recognition_ms_sum',
            field=models.PositiveBigIntegerField(default=0),
        ),
        migrations.CreateModel(
            name='CaseWeekTally',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('n', models.PositiveIntegerField()),
                ('n_looked', models.PositiveIntegerField()),
                ('n_one_look', models.PositiveIntegerField()),
                ('n_timed', models.PositiveIntegerField()),
                ('recognition_log_sum', models.FloatField(default=0.0)),
                ('recognition_log_squares', models.FloatField(default=0.0)),
                ('recognition_ms_sum', models.PositiveBigIntegerField(default=0)),
                ('execution_log_sum', models.FloatField(default=0.0)),
                ('execution_log_squares', models.FloatField(default=0.0)),
                ('execution_ms_sum', models.PositiveBigIntegerField(default=0)),
                ('kind', models.CharField(max_length=10)),
                ('stage', models.CharField(max_length=3)),
                ('case', models.CharField(max_length=4)),
                ('week', models.DateField(null=True)),
                ('recognition', models.BinaryField(default=bytes)),
                ('execution', models.BinaryField(default=bytes)),
                ('member', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='case_week_tallies', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('member', 'kind', 'stage', 'case', 'week'), name='case_week_tally_once'), models.UniqueConstraint(condition=models.Q(('week', None)), fields=('member', 'kind', 'stage', 'case'), name='case_week_tally_undated_once'), models.CheckConstraint(condition=models.Q(('n__gte', 1), ('n_looked__lte', models.F('n')), ('n_one_look__lte', models.F('n_looked')), ('n_timed__lte', models.F('n_one_look'))), name='case_week_tally_counts_fit'), models.CheckConstraint(condition=models.Q(('kind__in', ['solve', 'drill'])), name='case_week_tally_kind_known'), models.CheckConstraint(condition=models.Q(('stage__in', ['oll', 'pll'])), name='case_week_tally_stage_known')],
            },
        ),
        migrations.CreateModel(
            name='WeekTally',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=10)),
                ('week', models.DateField(null=True)),
                ('n', models.PositiveIntegerField()),
                ('n_timed', models.PositiveIntegerField()),
                ('last_layer_ms_sum', models.PositiveBigIntegerField(default=0)),
                ('last_layer', models.BinaryField(default=bytes)),
                ('member', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='week_tallies', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('member', 'kind', 'week'), name='week_tally_once'), models.UniqueConstraint(condition=models.Q(('week', None)), fields=('member', 'kind'), name='week_tally_undated_once'), models.CheckConstraint(condition=models.Q(('n__gte', 1), ('n_timed__lte', models.F('n'))), name='week_tally_counts_fit'), models.CheckConstraint(condition=models.Q(('kind__in', ['solve', 'drill'])), name='week_tally_kind_known')],
            },
        ),
    ]
