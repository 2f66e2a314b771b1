"""House rules, rooms, and who may use what."""

from django.urls import path

from safety.views import house, rooms

urlpatterns = [
    path("safety/", house.safety, name="safety"),
    path("house-rules/", house.house_rules, name="house_rules"),
    path("house-rules/new/", house.rule_add, name="house_rule_add"),
    path("house-rules/<int:pk>/replace/", house.rule_replace, name="house_rule_replace"),
    path("house-rules/<int:pk>/end/", house.rule_end, name="house_rule_end"),
    path("groups/", rooms.groups, name="groups"),
    path("groups/<int:pk>/", rooms.group, name="group"),
    path("groups/<int:pk>/remove/", rooms.group_remove, name="group_remove"),
    path("groups/<int:pk>/may-use/", rooms.may_use, name="may_use"),
    path("rooms/", rooms.rooms, name="rooms"),
    path("rooms/<int:pk>/", rooms.room, name="room"),
    path("rooms/<int:pk>/rename/", rooms.room_rename, name="room_rename"),
    path("rooms/<int:pk>/facts/", rooms.room_facts, name="room_facts"),
    path("rooms/<int:pk>/remove/", rooms.room_remove, name="room_remove"),
]
