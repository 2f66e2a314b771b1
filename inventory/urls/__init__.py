from inventory.urls import buying, counting, finding, lasting, lessons, palettes, shelf

app_name = "inventory"
urlpatterns = [
    *shelf.urlpatterns,
    *counting.urlpatterns,
    *finding.urlpatterns,
    *buying.urlpatterns,
    *lasting.urlpatterns,
    *palettes.urlpatterns,
    *lessons.urlpatterns,
]
