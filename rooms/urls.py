from django.urls import path

from rooms import office
from rooms.surveys import views as surveys
from rooms.tiles import views as tiles

app_name = "rooms"
urlpatterns = [
    path("jobs/<uuid:job_pk>/rooms/new/", office.new, name="new"),
    path("jobs/<uuid:job_pk>/rooms/upload/", office.upload, name="upload"),
    path("rooms/<uuid:pk>/", office.detail, name="detail"),
    path("rooms/<uuid:pk>/edit/", office.edit, name="edit"),
    path("rooms/<uuid:pk>/specification/", office.specification, name="specification"),
    path("rooms/<uuid:pk>/layout/", office.choose, name="layout"),
    path("rooms/<uuid:pk>/sheet/", office.sheet, name="sheet"),
    path("rooms/<uuid:pk>/file/", office.file, name="file"),
    path("rooms/<uuid:pk>/surveys/", surveys.of_room, name="surveys"),
    path("rooms/<uuid:pk>/surveys/new/", surveys.new, name="survey_new"),
    path("surveys/<uuid:pk>/", surveys.detail, name="survey"),
    path("tiles/", tiles.shop_list, name="tiles"),
    path("tiles/new/", tiles.shop_new, name="tile_new"),
    path("tiles/<uuid:pk>/", tiles.shop_tile, name="tile"),
    path("rooms/<uuid:pk>/tiles/", tiles.of_room, name="room_tiles"),
    path("rooms/<uuid:pk>/tiles/edit/", tiles.of_room_edit, name="room_tile"),
    path("rooms/<uuid:pk>/tiles/box/", tiles.box, name="box"),
]
