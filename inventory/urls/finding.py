"""Looking for things at the shelf and in the shop, labels, histories, and edits of many rows."""

from django.urls import path

from inventory.views import barcodes, finding, history, labels, owned

urlpatterns = [
    path("scan/", barcodes.scan, name="scan"),
    path("barcodes/link/", barcodes.link, name="barcode_link"),
    path("barcodes/new/", barcodes.add, name="barcode_add"),
    path("barcodes/<int:pk>/receive/", barcodes.receive, name="barcode_receive"),
    path("barcodes/<int:pk>/remove/", barcodes.remove, name="barcode_remove"),
    path("own/", owned.own, name="own"),
    path("labels/", labels.labels, name="labels"),
    path("labels/labels.pdf", labels.labels_pdf, name="labels_pdf"),
    path("filters/", finding.filters, name="filters"),
    path("filters/<int:pk>/", finding.filter_change, name="filter"),
    path("filters/<int:pk>/remove/", finding.filter_remove, name="filter_remove"),
    path("edit-many/", finding.edit_many, name="edit_many"),
    path("edit-many/write/", finding.edit_write, name="edit_write"),
    path("edit-many/undo/", finding.edit_undo, name="edit_undo"),
    path("people/<int:pk>/history/", history.person, name="person_history"),
    path("places/<int:pk>/history/", history.place, name="place_history"),
    path("items/<int:pk>/history/", history.item, name="item_history"),
    path("stock/", history.stock, name="stock_history"),
]
