import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0004_measurements")]

    operations = [
        migrations.CreateModel(
            name="PaintCurve",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[("ready", "Ready"), ("working", "Being worked out"), ("failed", "Not worked out")],
                        default="working",
                        max_length=8,
                    ),
                ),
                ("message", models.CharField(blank=True, help_text="Why it was not worked out.", max_length=600)),
                ("curve", models.BinaryField(blank=True, null=True)),
                ("draws", models.BinaryField(blank=True, null=True)),
                (
                    "origin",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("measured", "measured"),
                            ("published", "published"),
                            ("recovered", "recovered"),
                            ("typical", "typical"),
                        ],
                        max_length=10,
                    ),
                ),
                ("basis", models.CharField(blank=True, max_length=40)),
                ("version", models.CharField(blank=True, max_length=20)),
                ("fingerprint", models.CharField(blank=True, max_length=64)),
                ("rests_on", models.CharField(blank=True, max_length=1000)),
                (
                    "candidates",
                    models.JSONField(
                        blank=True, default=list, help_text="Pigments that it may be, with their weights."
                    ),
                ),
                ("tints_allowed", models.BooleanField(default=False)),
                ("worst_fit", models.FloatField(blank=True, null=True)),
                ("computed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "paint",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="colour_curve", to="inventory.paint"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["ready", "working", "failed"])),
                        name="paint_curve_state_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "ready"), _negated=True),
                            models.Q(
                                models.Q(("curve", None), _negated=True), models.Q(("computed_at", None), _negated=True)
                            ),
                            _connector="OR",
                        ),
                        name="paint_curve_ready_is_there",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "failed"), _negated=True),
                            models.Q(("message", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="paint_curve_failed_says_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("curve", None), ("origin__in", ["measured", "recovered"]), _connector="OR"),
                        name="paint_curve_origin_known",
                    ),
                ],
            },
        ),
    ]
