"""Window tests and works that may fade."""

from django.urls import path

from inventory.views import lasting

urlpatterns = [
    path("lasting/", lasting.lasting, name="lasting"),
    path("works/", lasting.works, name="works"),
    path("works/<int:pk>/", lasting.work, name="work"),
    path("works/<int:pk>/remove/", lasting.work_remove, name="work_remove"),
    path("works/<int:pk>/bring-back/", lasting.work_bring_back, name="work_bring_back"),
    path("light-tests/", lasting.light_tests, name="light_tests"),
    path("light-tests/<int:pk>/", lasting.light_test, name="light_test"),
    path("light-tests/<int:pk>/end/", lasting.light_test_end, name="light_test_end"),
    path("light-tests/<int:pk>/reading/", lasting.light_reading, name="light_reading"),
    path("light-tests/<int:pk>/withdraw/", lasting.light_test_withdraw, name="light_test_withdraw"),
    path("light-tests/<int:pk>/bring-back/", lasting.light_test_bring_back, name="light_test_bring_back"),
]
