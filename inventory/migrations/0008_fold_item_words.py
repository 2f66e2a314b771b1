"""What lists are ordered and searched by, for the items that are there: as `Item.fold_words` sets it from now on."""

from collections import defaultdict

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from inventory.labels.folding import search_key


def fold_words(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    items, paints, lines = (apps.get_model("inventory", name) for name in ("Item", "Paint", "PaintPigment"))
    codes: dict[int, list[str]] = defaultdict(list)
    for paint, code in lines.objects.order_by("paint_id", "position").values_list("paint_id", "code"):
        codes[paint].append(code)
    typed = dict(paints.objects.values_list("pk", "pigment_text"))
    rows = list(items.objects.only("name", "maker", "maker_code"))
    for item in rows:
        words = [item.name, item.maker, item.maker_code, *codes[item.pk], typed.get(item.pk, "")]
        item.sort_name = search_key(item.name)[:160]
        item.search = search_key(" ".join(words))[:600]
    items.objects.bulk_update(rows, ["sort_name", "search"], batch_size=500)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0007_item_sort_name")]
    # Backwards nothing is to be done: the column goes, and words too many in the other do no harm.
    operations = [migrations.RunPython(fold_words, migrations.RunPython.noop)]
