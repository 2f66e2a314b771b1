"""Where each notice hung becomes a posting of its own."""

from typing import Any

from django.db import migrations


def postings_from_notices(apps: Any, schema_editor: Any) -> None:
    Notice, Posting = apps.get_model("safety", "Notice"), apps.get_model("safety", "Posting")
    rows = Notice.objects.exclude(hung_at=None).order_by("hung_at", "pk").defer("content", "facts")
    Posting.objects.bulk_create(
        (
            Posting(
                studio_id=one.studio_id,
                notice=one,
                where=one.hung_where,
                hung_at=one.hung_at,
                hung_by_id=one.hung_by_id,
                taken_down_at=one.taken_down_at,
                taken_down_by_id=one.taken_down_by_id,
            )
            for one in rows.iterator()
        ),
        batch_size=500,
    )


def notices_from_postings(apps: Any, schema_editor: Any) -> None:
    """A notice can tell of one place alone: the one that it hangs at, else the last one that it hung at."""
    Notice, Posting = apps.get_model("safety", "Notice"), apps.get_model("safety", "Posting")
    for one in Posting.objects.filter(notice__kind="notice").select_related("room").order_by("taken_down_at", "pk"):
        hangs = one.taken_down_at is None
        known = Notice.objects.filter(pk=one.notice_id)
        if not hangs and known.exclude(hung_at=None).filter(taken_down_at=None).exists():
            continue
        known.update(
            hung_where=(one.where or one.room.name)[:120],
            hung_at=one.hung_at,
            hung_by_id=one.hung_by_id,
            taken_down_at=one.taken_down_at,
            taken_down_by_id=one.taken_down_by_id,
        )
    Posting.objects.update(replaces=None)
    Posting.objects.all().delete()
    Notice.objects.exclude(kind="notice").delete()


class Migration(migrations.Migration):
    dependencies = [("safety", "0006_papers_and_postings")]
    operations = [migrations.RunPython(postings_from_notices, notices_from_postings)]
