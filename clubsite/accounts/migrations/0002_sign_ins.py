"""Sessions in a table of ours. What the framework's held goes: everybody signs in once more."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('accounts', '0001_initial'),
    ]

    operations = [
        migrations.CreateModel(
            name='Session',
            fields=[
                ('session_data', models.TextField(verbose_name='session data')),
                ('expire_date', models.DateTimeField(db_index=True, verbose_name='expire date')),
                ('session_key', models.CharField(max_length=64, primary_key=True, serialize=False)),
                ('signed_in_at', models.DateTimeField(null=True)),
                ('used_at', models.DateTimeField(null=True)),
                ('browser', models.CharField(blank=True, max_length=40)),
                ('user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='sessions', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name': 'session',
                'verbose_name_plural': 'sessions',
                'abstract': False,
            },
        ),
        migrations.RunSQL(
            'DROP TABLE IF EXISTS django_session', reverse_sql=migrations.RunSQL.noop
        ),
    ]
