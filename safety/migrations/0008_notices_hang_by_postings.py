from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("safety", "0007_postings_from_notices"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="notice",
            name="notice_hung_somewhere_by_somebody",
        ),
        migrations.RemoveConstraint(
            model_name="notice",
            name="notice_taken_down_after_hung",
        ),
        migrations.RemoveIndex(
            model_name="notice",
            name="notice_hanging",
        ),
        migrations.RemoveField(
            model_name="notice",
            name="hung_at",
        ),
        migrations.RemoveField(
            model_name="notice",
            name="hung_by",
        ),
        migrations.RemoveField(
            model_name="notice",
            name="hung_where",
        ),
        migrations.RemoveField(
            model_name="notice",
            name="taken_down_at",
        ),
        migrations.RemoveField(
            model_name="notice",
            name="taken_down_by",
        ),
    ]
