"""Stocktakes, labels and barcodes of containers."""

from django.urls import path

from inventory.views import stocktakes

urlpatterns = [
    path("stocktakes/", stocktakes.stocktakes, name="stocktakes"),
    path("stocktakes/<int:pk>/", stocktakes.stocktake, name="stocktake"),
    path("stocktakes/<int:pk>/count/", stocktakes.count, name="stocktake_count"),
    path("stocktakes/<int:pk>/count-paint/", stocktakes.count_paint, name="stocktake_count_paint"),
    path("stocktakes/<int:pk>/extra/", stocktakes.extra, name="stocktake_extra"),
    path("stocktakes/<int:pk>/take-off/", stocktakes.take_off, name="stocktake_take_off"),
    path("stocktakes/<int:pk>/sheet/", stocktakes.sheet, name="stocktake_sheet"),
    path("stocktakes/<int:pk>/sheet.pdf", stocktakes.sheet_pdf, name="stocktake_sheet_pdf"),
    path("stocktakes/<int:pk>/differences/", stocktakes.differences, name="stocktake_differences"),
    path("stocktakes/<int:pk>/post/", stocktakes.post, name="stocktake_post"),
    path("stocktakes/<int:pk>/drop/", stocktakes.drop, name="stocktake_drop"),
    path("stocktakes/<int:pk>/place/", stocktakes.place, name="stocktake_place"),
]
