import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0009_stocktakes_buying_lessons"),
        ("safety", "0005_sheets_looked_at_again"),
        ("studio", "0001_studios_and_people"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Posting",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "where",
                    models.CharField(
                        blank=True, help_text="Such as: above the sink.", max_length=120, verbose_name="where it hangs"
                    ),
                ),
                ("hung_at", models.DateTimeField()),
                ("taken_down_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ("-pk",),
            },
        ),
        migrations.AddField(
            model_name="notice",
            name="group",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="papers",
                to="inventory.group",
            ),
        ),
        migrations.AddField(
            model_name="notice",
            name="kind",
            field=models.CharField(
                choices=[
                    ("notice", "Notice"),
                    ("class", "Class page"),
                    ("poster", "Room poster"),
                    ("door", "Door sheet"),
                ],
                default="notice",
                max_length=6,
            ),
        ),
        migrations.AddField(
            model_name="notice",
            name="palette",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="papers",
                to="inventory.palette",
            ),
        ),
        migrations.AddField(
            model_name="notice",
            name="room",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="papers",
                to="inventory.room",
            ),
        ),
        migrations.AlterField(
            model_name="notice",
            name="item",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="notices",
                to="inventory.item",
            ),
        ),
        migrations.AddIndex(
            model_name="notice",
            index=models.Index(fields=["room", "kind", "-id"], name="notice_latest_of_room"),
        ),
        migrations.AddIndex(
            model_name="notice",
            index=models.Index(fields=["palette", "-id"], name="notice_latest_of_palette"),
        ),
        migrations.AddConstraint(
            model_name="notice",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["notice", "class", "poster", "door"])), name="notice_kind_known"
            ),
        ),
        migrations.AddConstraint(
            model_name="notice",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("group", None), ("item__isnull", False), ("kind", "notice"), ("palette", None), ("room", None)
                    ),
                    models.Q(
                        ("group", None),
                        ("item", None),
                        ("kind__in", ["poster", "door"]),
                        ("palette", None),
                        ("room__isnull", False),
                    ),
                    models.Q(("item", None), ("kind", "class"), ("palette__isnull", False), ("room", None)),
                    _connector="OR",
                ),
                name="notice_about_what_its_kind_says",
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="hung_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="notice",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="postings", to="safety.notice"
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="replaces",
            field=models.OneToOneField(
                blank=True,
                help_text="NULL: nothing hung there before.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="replaced_by",
                to="safety.posting",
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="room",
            field=models.ForeignKey(
                blank=True,
                help_text="NULL: not said.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="postings",
                to="inventory.room",
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="studio",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="postings", to="studio.studio"
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="taken_down_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddIndex(
            model_name="posting",
            index=models.Index(
                condition=models.Q(("taken_down_at", None)), fields=["studio", "room"], name="posting_hanging"
            ),
        ),
        migrations.AddConstraint(
            model_name="posting",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("room", None), _negated=True), models.Q(("where", ""), _negated=True), _connector="OR"
                ),
                name="posting_hangs_somewhere",
                violation_error_message="Say where it hangs: choose a room, or write the place.",
            ),
        ),
        migrations.AddConstraint(
            model_name="posting",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("taken_down_at", None), ("taken_down_by", None)),
                    models.Q(
                        models.Q(("taken_down_by", None), _negated=True), ("taken_down_at__gte", models.F("hung_at"))
                    ),
                    _connector="OR",
                ),
                name="posting_taken_down_after_hung",
            ),
        ),
    ]
