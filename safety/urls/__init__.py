from safety.urls import air, house, notices, papers, records, regimes

app_name = "safety"
urlpatterns = [
    *notices.urlpatterns,
    *house.urlpatterns,
    *records.urlpatterns,
    *papers.urlpatterns,
    *regimes.urlpatterns,
    *air.urlpatterns,
]
