import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("logs", "0012_week_tallies"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="PracticeAnswer",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("question", models.CharField(max_length=32)),
                ("at", models.DateTimeField()),
                (
                    "task",
                    models.CharField(
                        choices=[("case", "which case it is"), ("hold", "how to hold it")],
                        max_length=4,
                    ),
                ),
                ("stage", models.CharField(max_length=3)),
                ("case", models.CharField(max_length=4)),
                ("angle", models.PositiveSmallIntegerField()),
                ("answered", models.CharField(max_length=4)),
                ("answered_side", models.PositiveSmallIntegerField(null=True)),
                ("is_right", models.BooleanField()),
                ("recognition_ms", models.PositiveIntegerField(null=True)),
                (
                    "member",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="practice_answers",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["member", "at"], name="practice_answer_by_time")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("member", "question"), name="practice_answer_once_for_question"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                (
                                    "case__in",
                                    [
                                        "1",
                                        "2",
                                        "3",
                                        "4",
                                        "5",
                                        "6",
                                        "7",
                                        "8",
                                        "9",
                                        "10",
                                        "11",
                                        "12",
                                        "13",
                                        "14",
                                        "15",
                                        "16",
                                        "17",
                                        "18",
                                        "19",
                                        "20",
                                        "21",
                                        "22",
                                        "23",
                                        "24",
                                        "25",
                                        "26",
                                        "27",
                                        "28",
                                        "29",
                                        "30",
                                        "31",
                                        "32",
                                        "33",
                                        "34",
                                        "35",
                                        "36",
                                        "37",
                                        "38",
                                        "39",
                                        "40",
                                        "41",
                                        "42",
                                        "43",
                                        "44",
                                        "45",
                                        "46",
                                        "47",
                                        "48",
                                        "49",
                                        "50",
                                        "51",
                                        "52",
                                        "53",
                                        "54",
                                        "55",
                                        "56",
                                        "57",
                                    ],
                                ),
                                ("stage", "oll"),
                            ),
                            models.Q(
                                (
                                    "case__in",
                                    [
                                        "Aa",
                                        "Ab",
                                        "E",
                                        "F",
                                        "Ga",
                                        "Gb",
                                        "Gc",
                                        "Gd",
                                        "H",
                                        "Ja",
                                        "Jb",
                                        "Na",
                                        "Nb",
                                        "Ra",
                                        "Rb",
                                        "T",
                                        "Ua",
                                        "Ub",
                                        "V",
                                        "Y",
                                        "Z",
                                    ],
                                ),
                                ("stage", "pll"),
                            ),
                            _connector="OR",
                        ),
                        name="practice_answer_case_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("angle__lte", 3)), name="practice_answer_angle_in_range"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("answered_side", None),
                                ("is_right", True),
                                ("task", "case"),
                                ("answered", models.F("case")),
                            ),
                            models.Q(
                                ("answered_side", None),
                                ("is_right", False),
                                ("task", "case"),
                                models.Q(("answered", models.F("case")), _negated=True),
                            ),
                            models.Q(
                                ("answered", models.F("case")),
                                ("answered_side__range", (0, 3)),
                                ("task", "hold"),
                            ),
                            _connector="OR",
                        ),
                        name="practice_answer_fits_task",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("recognition_ms", None),
                            models.Q(("recognition_ms__gt", 0), ("recognition_ms__lte", 120000)),
                            _connector="OR",
                        ),
                        name="practice_answer_time_in_range",
                    ),
                ],
            },
        ),
    ]
