from django.urls import path

from inventory.views import paints

app_name = "inventory"
urlpatterns = [
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
