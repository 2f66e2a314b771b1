from django.urls import path

from inventory.views import levels, paints, places, shelf, tubes

app_name = "inventory"
urlpatterns = [
    path("shelf/", shelf.shelf_page, name="shelf"),
    path("tubes/<int:number>/", tubes.tube, name="tube"),
    *(path(f"tubes/<int:number>/{deed}/", tubes.act, {"deed": deed}, name=f"tube_{deed}") for deed in tubes.DEEDS),
    path("entries/<int:pk>/undo/", tubes.undo, name="entry_undo"),
    path("entries/<int:pk>/correct/", tubes.correct, name="entry_correct"),
    path("items/<int:pk>/receive/", tubes.receive, name="receive"),
    path("items/<int:pk>/level/", levels.level, name="level"),
    path("items/<int:pk>/level/remove/", levels.remove, name="level_remove"),
    path("levels/", levels.levels, name="levels"),
    path("places/", places.places, name="places"),
    path("places/<int:pk>/", places.rename, name="place"),
    path("places/<int:pk>/remove/", places.remove, name="place_remove"),
    path("paints/", paints.paints, name="paints"),
    path("paints/new/", paints.paint_add, name="paint_add"),
    path("paints/<int:pk>/", paints.paint, name="paint"),
    path("paints/<int:pk>/change/", paints.paint_change, name="paint_change"),
    path("paints/<int:pk>/answer/", paints.paint_answer, name="paint_answer"),
    path("materials/new/", paints.material_add, name="material_add"),
    path("materials/<int:pk>/", paints.material, name="material"),
    path("materials/<int:pk>/change/", paints.material_change, name="material_change"),
    path("items/<int:pk>/archive/", paints.archive, name="archive"),
    path("items/<int:pk>/restore/", paints.restore, name="restore"),
    path("questions/", paints.questions, name="questions"),
]
