"""Addresses below /api/s/<studio>/, and the reference tables below /api/."""

from django.urls import path

from inventory.api import buying, colour, deeds, entries, exchange, levels, measurements, mixing, paints, tubes

urlpatterns = [
    path("paints/", paints.Paints.as_view(), name="api_paints"),
    path("paints/<int:pk>/", paints.OnePaint.as_view(), name="api_paint"),
    path("paints/<int:pk>/answer/", paints.Answer.as_view(), name="api_paint_answer"),
    path("paints/<int:pk>/archive/", paints.ArchivePaint.as_view(), name="api_paint_archive"),
    path("paints/<int:pk>/restore/", paints.RestorePaint.as_view(), name="api_paint_restore"),
    path("paints/<int:pk>/measurements/", measurements.PaintMeasurements.as_view(), name="api_paint_measurements"),
    path("paints/<int:pk>/curve/", measurements.PaintCurveView.as_view(), name="api_paint_curve"),
    path("measurements/", measurements.Measurements.as_view(), name="api_measurements"),
    path(
        "measurements/<int:pk>/withdraw/",
        measurements.WithdrawMeasurement.as_view(),
        name="api_measurement_withdraw",
    ),
    path("measurements/<int:pk>/restore/", measurements.RestoreMeasurement.as_view(), name="api_measurement_restore"),
    path("read-label/", paints.ReadLabel.as_view(), name="api_read_label"),
    path("materials/", paints.Materials.as_view(), name="api_materials"),
    path("materials/<int:pk>/", paints.OneMaterial.as_view(), name="api_material"),
    path("materials/<int:pk>/archive/", paints.ArchiveMaterial.as_view(), name="api_material_archive"),
    path("materials/<int:pk>/restore/", paints.RestoreMaterial.as_view(), name="api_material_restore"),
    path("places/", tubes.Places.as_view(), name="api_places"),
    path("places/<int:pk>/", tubes.OnePlace.as_view(), name="api_place"),
    path("tubes/", tubes.Tubes.as_view(), name="api_tubes"),
    path("tubes/<int:number>/", tubes.OneTube.as_view(), name="api_tube"),
    path("tubes/<int:number>/entries/", entries.TubeEntries.as_view(), name="api_tube_entries"),
    *(
        path(f"tubes/<int:number>/{name}/", deed.as_view(), name=f"api_tube_{name}")
        for name, deed in deeds.DEEDS.items()
    ),
    path("entries/", entries.Entries.as_view(), name="api_entries"),
    path("entries/<int:pk>/", entries.OneEntry.as_view(), name="api_entry"),
    path("entries/<int:pk>/correct/", deeds.Correct.as_view(), name="api_entry_correct"),
    path("entries/<int:pk>/undo/", deeds.Undo.as_view(), name="api_entry_undo"),
    path("levels/", levels.Levels.as_view(), name="api_levels"),
    path("offers/", buying.Offers.as_view(), name="api_offers"),
    path("orders/", buying.Orders.as_view(), name="api_orders"),
    path("orders/<int:pk>/received/", buying.Received.as_view(), name="api_order_received"),
    path("reorder/", levels.Reorder.as_view(), name="api_reorder"),
    path("items/<int:pk>/level/", levels.OneLevel.as_view(), name="api_level"),
    path("wheel/", colour.WheelView.as_view(), name="api_wheel"),
    path("wheel/cell/", colour.CellView.as_view(), name="api_wheel_cell"),
    path("wheel/compare/", colour.CompareView.as_view(), name="api_wheel_compare"),
    path("paints/<int:pk>/replacement/", colour.ReplacementView.as_view(), name="api_paint_replacement"),
    path("same-job/", colour.SameJobView.as_view(), name="api_same_job"),
    path("next-tubes/", colour.NextTubesView.as_view(), name="api_next_tubes"),
    path("mix/", mixing.MixView.as_view(), name="api_mix"),
    path("seek/", mixing.SeekView.as_view(), name="api_seek"),
    path("layers/", mixing.LayersView.as_view(), name="api_layers"),
    path("imports/", exchange.Imports.as_view(), name="api_imports"),
    path("imports/<int:pk>/", exchange.OneImport.as_view(), name="api_import"),
    path("imports/<int:pk>/columns/", exchange.Columns.as_view(), name="api_import_columns"),
    path("imports/<int:pk>/read/", exchange.ReadStep.as_view(), name="api_import_read"),
    path("imports/<int:pk>/rows/", exchange.ImportRows.as_view(), name="api_import_rows"),
    path("imports/<int:pk>/rows/<int:line>/choose/", exchange.ChooseRow.as_view(), name="api_import_row_choose"),
    path("imports/<int:pk>/rows/<int:line>/leave-out/", exchange.LeaveOutRow.as_view(), name="api_import_row_leave"),
    path("imports/<int:pk>/rows/<int:line>/ask-again/", exchange.AskAgainRow.as_view(), name="api_import_row_ask"),
    path("imports/<int:pk>/leave-out-errors/", exchange.LeaveOutErrors.as_view(), name="api_import_leave_errors"),
    path("imports/<int:pk>/commit/", exchange.Commit.as_view(), name="api_import_commit"),
    path("imports/<int:pk>/draw/", exchange.Draw.as_view(), name="api_import_draw"),
    path("imports/<int:pk>/take-back/", exchange.TakeBack.as_view(), name="api_import_take_back"),
    path("imports/<int:pk>/drop/", exchange.Drop.as_view(), name="api_import_drop"),
    path("imports/<int:pk>/take-up/", exchange.TakeUp.as_view(), name="api_import_take_up"),
    path("export/", exchange.Export.as_view(), name="api_export"),
]

# The same for every studio.
reference = [
    path("pigments/", paints.Pigments.as_view(), name="api_pigments"),
    path("pigments/<slug:code>/", paints.OnePigment.as_view(), name="api_pigment"),
]
