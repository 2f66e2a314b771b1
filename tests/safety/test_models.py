"""What the database itself refuses, whoever writes."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import Room
from safety.models import DataSheet, HazardFact, LabelStatement, Limit, Notice, Posting, Statement
from safety.services.reference import load_reference

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)


@pytest.fixture
def sheet(paint, keeper):
    return DataSheet.objects.create(item=paint, by=keeper, product="Blue 12", read_on=DAY, revised_on=DAY)


@pytest.fixture
def notice(paint, studio, keeper):
    return Notice.objects.create(
        studio=studio, item=paint, made_by=keeper, made_at=timezone.now(), content={}, facts=[], fingerprint="A"
    )


def refused(name, rows, **values):
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        rows.update(**values)


def test_a_sheet_is_refused_what_cannot_be(sheet, keeper):
    rows = DataSheet.objects.all()
    refused("datasheet_read_after_revision", rows, revised_on=DAY + timedelta(days=1))
    refused("datasheet_not_classified_has_no_sign", rows, says_not_classified=True, signal_word="Danger")
    refused("datasheet_not_classified_has_no_sign", rows, says_not_classified=True, pictograms="GHS02")
    refused("datasheet_signal_word_known", rows, signal_word="Careful")
    refused("datasheet_product_named", rows, product="")
    refused("datasheet_withdrawn_by_somebody", rows, withdrawn_at=timezone.now())
    refused("datasheet_withdrawn_by_somebody", rows, withdrawn_at=timezone.now(), withdrawn_by=keeper)


def test_a_revision_is_recorded_once_until_it_is_withdrawn(sheet, keeper):
    again = {"item": sheet.item, "by": keeper, "product": "Blue 12", "read_on": DAY, "revised_on": DAY}
    # SQLite names the columns, PostgreSQL the constraint.
    with pytest.raises(IntegrityError, match=r"(?i)unique"), transaction.atomic():
        DataSheet.objects.create(**again)
    DataSheet.objects.update(withdrawn_at=timezone.now(), withdrawn_by=keeper, withdrawn_why="wrong product")
    DataSheet.objects.create(**again)


def test_a_label_says_something(paint, keeper):
    label = LabelStatement.objects.create(item=paint, by=keeper, text="Keep away from food.", read_on=DAY)
    refused("labelstatement_says_something", LabelStatement.objects.filter(pk=label.pk), text="")


def test_a_paper_hangs_somewhere_and_comes_down_by_somebody(notice, keeper):
    now = timezone.now()
    posting = Posting.objects.create(studio=notice.studio, notice=notice, where="door", hung_at=now, hung_by=keeper)
    rows = Posting.objects.all()
    refused("posting_hangs_somewhere", rows, where="")
    refused("posting_taken_down_after_hung", rows, taken_down_at=now)
    earlier = now - timedelta(days=1)
    refused("posting_taken_down_after_hung", rows, taken_down_at=earlier, taken_down_by=keeper)
    assert Posting.objects.hanging().get() == posting
    # One paper is replaced by one other.
    again = {"studio": notice.studio, "notice": notice, "where": "door", "hung_at": now, "hung_by": keeper}
    Posting.objects.create(**again, replaces=posting)
    with pytest.raises(IntegrityError, match=r"(?i)unique"), transaction.atomic():
        Posting.objects.create(**again, replaces=posting)


def test_a_paper_is_about_what_its_kind_says(notice, studio):
    rows, room = Notice.objects.all(), Room.objects.create(studio=studio, name="Room 2")
    refused("notice_about_what_its_kind_says", rows, item=None)
    refused("notice_about_what_its_kind_says", rows, room=room)
    refused("notice_about_what_its_kind_says", rows, kind="door")
    refused("notice_(kind_known|about_what_its_kind_says)", rows, kind="flag")
    rows.update(kind="door", item=None, room=room)


def test_the_reference_tables_load_twice_to_the_same(db):
    first, second = load_reference(), load_reference()
    assert [(one.added, one.changed) for one in second] == [(0, 0)] * 3
    assert [one.rows for one in first] == [HazardFact.objects.count(), Limit.objects.count(), Statement.objects.count()]


def test_a_reference_row_has_a_known_confidence_and_signal_word(reference):
    refused("hazard_fact_confidence_known", HazardFact.objects.all(), confidence="sure")
    refused("hazard_fact_signal_word_known", HazardFact.objects.all(), signal_word="Careful")
    refused("limit_confidence_known", Limit.objects.all(), confidence="sure")
    refused("statement_kind_known", Statement.objects.all(), kind="R")


def test_what_a_record_points_at_stays(sheet, notice):
    with pytest.raises(Exception, match="protected"):
        sheet.item.delete()
