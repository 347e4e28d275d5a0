"""A user name is one name however it is written; tries of every kind are counted in one table.

Of accounts whose names were taken for different ones so far, the eldest keeps its name; the others
sign in with a number behind theirs from now on, which is printed.
"""

from django.db import migrations, models

from clubsite.accounts.names import caseless_name


def fill_keys(apps):
    """Give each user the key of their name; the new names of those whose name was another's."""
    users = apps.get_model('accounts', 'User')
    taken, named_anew = set(), {}
    everybody = list(users.objects.order_by('date_joined', 'pk').only('pk', 'username'))
    asked_for = {caseless_name(user.username) for user in everybody}
    for user in everybody:
        key = caseless_name(user.username)
        if key in taken:
            number = 2
            while caseless_name(f'{user.username[:140]}-{number}') in asked_for | taken:
                number += 1
            named_anew[user.pk] = f'{user.username[:140]}-{number}'
            key = caseless_name(named_anew[user.pk])
        taken.add(key)
        name = named_anew.get(user.pk, user.username)
        users.objects.filter(pk=user.pk).update(username=name, name_key=key)
    return named_anew


def fill(apps, schema_editor):
    for number, name in fill_keys(apps).items():
        print(f'Account {number} signs in as {name} from now on: its name was another account\'s.')


class Migration(migrations.Migration):

    dependencies = [
        ('accounts', '0002_sign_ins'),
    ]

    operations = [
        migrations.RemoveConstraint(model_name='user', name='user_username_caseless'),
        migrations.AlterModelOptions(
            name='user', options={'verbose_name': 'user', 'verbose_name_plural': 'users'}
        ),
        migrations.AddField(
            model_name='user',
            name='name_key',
            field=models.CharField(max_length=450, null=True),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
        migrations.AlterField(
            model_name='user',
            name='name_key',
            field=models.CharField(blank=True, editable=False, error_messages={'unique': 'A user with that username already exists.'}, max_length=450, unique=True),
        ),
        migrations.CreateModel(
            name='Throttle',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('scope', models.CharField(max_length=20)),
                ('key', models.CharField(max_length=64)),
                ('tries', models.JSONField(default=list)),
                ('last_at', models.DateTimeField(db_index=True)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('scope', 'key'), name='tries_once_for_key')],
            },
        ),
        *(
            migrations.RunSQL(f'DROP TABLE IF EXISTS {table}', migrations.RunSQL.noop)
            for table in (
                'axes_accessattemptexpiration',
                'axes_accessattempt',
                'axes_accesslog',
                'axes_accessfailurelog',
            )
        ),
    ]
