"""Addresses below /api/s/<studio>/, and the reference tables below /api/."""

from django.urls import path

from inventory.api import deeds, entries, levels, paints, tubes

urlpatterns = [
    path("paints/", paints.Paints.as_view(), name="api_paints"),
    path("paints/<int:pk>/", paints.OnePaint.as_view(), name="api_paint"),
    path("paints/<int:pk>/answer/", paints.Answer.as_view(), name="api_paint_answer"),
    path("paints/<int:pk>/archive/", paints.ArchivePaint.as_view(), name="api_paint_archive"),
    path("paints/<int:pk>/restore/", paints.RestorePaint.as_view(), name="api_paint_restore"),
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
    path("reorder/", levels.Reorder.as_view(), name="api_reorder"),
    path("items/<int:pk>/level/", levels.OneLevel.as_view(), name="api_level"),
]

# The same for every studio.
reference = [
    path("pigments/", paints.Pigments.as_view(), name="api_pigments"),
    path("pigments/<slug:code>/", paints.OnePigment.as_view(), name="api_pigment"),
]
