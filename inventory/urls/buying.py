"""Suppliers, offers, what is wanted, orders, and advice on what to order."""

from django.urls import path

from inventory.views.buying import offers, orders, page, suppliers

urlpatterns = [
    path("buying/", page.buying, name="buying"),
    path("buying/want/", page.want, name="want"),
    path("buying/order/", orders.from_wants, name="order_wants"),
    path("buying/list.pdf", page.requisition_pdf, name="requisition_pdf"),
    path("buying/list.csv", page.requisition_csv, name="requisition_csv"),
    path("wants/<int:pk>/", page.want_change, name="want_change"),
    path("wants/<int:pk>/drop/", page.want_drop, name="want_drop"),
    path("order-days/", page.order_days, name="order_days"),
    path("order-days/<int:pk>/remove/", page.order_day_remove, name="order_day_remove"),
    path("suppliers/", suppliers.suppliers, name="suppliers"),
    path("suppliers/<int:pk>/", suppliers.supplier, name="supplier"),
    path("suppliers/<int:pk>/remove/", suppliers.supplier_remove, name="supplier_remove"),
    path("suppliers/<int:pk>/bring-back/", suppliers.supplier_bring_back, name="supplier_bring_back"),
    path("offers/", offers.offers, name="offers"),
    path("offers/new/", offers.offer_add, name="offer_add"),
    path("offers/compare/", offers.compare, name="price_compare"),
    path("offers/<int:pk>/withdraw/", offers.offer_withdraw, name="offer_withdraw"),
    path("items/<int:pk>/prices/", offers.item_prices, name="item_prices"),
    path("items/<int:pk>/substitutes/", page.substitutes, name="substitutes"),
    path("substitutes/<int:pk>/remove/", page.substitute_remove, name="substitute_remove"),
    path("orders/", orders.orders, name="orders"),
    path("orders/<int:pk>/", orders.order, name="order"),
    path("orders/<int:pk>/add/", orders.line_add, name="order_line_add"),
    path("orders/<int:pk>/lines/<int:line_pk>/", orders.line_change, name="order_line_change"),
    path("orders/<int:pk>/lines/<int:line_pk>/remove/", orders.line_remove, name="order_line_remove"),
    path("orders/<int:pk>/lines/<int:line_pk>/rest/", orders.line_rest, name="order_line_rest"),
    path("orders/<int:pk>/send/", orders.send, name="order_send"),
    path("orders/<int:pk>/cancel/", orders.cancel, name="order_cancel"),
    path("orders/<int:pk>/reopen/", orders.reopen, name="order_reopen"),
    path("orders/<int:pk>/receive/", orders.receive, name="order_receive"),
    path("orders/<int:pk>/take-back/", orders.take_back, name="order_take_back"),
    path("orders/<int:pk>/send-back/", orders.send_back, name="order_send_back"),
    path("orders/<int:pk>/list.pdf", orders.requisition_pdf, name="order_pdf"),
    path("orders/<int:pk>/list.csv", orders.requisition_csv, name="order_csv"),
]
