"""Reads about the ledger."""

from django.db.models import BigIntegerField, F, QuerySet, Sum, Value
from django.db.models.functions import Coalesce

from inventory.models import Tube


def tubes_out_of_balance() -> QuerySet[Tube]:
    """Each tube whose stored balance is not the sum of its entries, with that sum as `entries_milli`."""
    return (
        Tube.objects.select_related("item", "studio")
        .annotate(entries_milli=Coalesce(Sum("entries__change_milli"), Value(0), output_field=BigIntegerField()))
        .exclude(balance_milli=F("entries_milli"))
        .order_by("studio__slug", "number")
    )
