from django.urls import path

from rooms import choosing, office, office_measuring, office_rough_in, prints
from rooms.entry import views as entry
from rooms.surveys import views as surveys
from rooms.tiles import views as tiles

app_name = "rooms"
urlpatterns = [
    path("jobs/<uuid:job_pk>/rooms/new/", entry.new, name="new"),
    path("jobs/<uuid:job_pk>/rooms/drawn/", entry.drawn, name="drawn"),
    path("jobs/<uuid:job_pk>/rooms/upload/", office.upload, name="upload"),
    path("rooms/<uuid:pk>/", office.detail, name="detail"),
    path("rooms/<uuid:pk>/edit/", entry.edit, name="edit"),
    path("rooms/<uuid:pk>/drawn/", entry.drawn_anew, name="drawn_anew"),
    path("rooms/unfinished/<uuid:pk>/", entry.unfinished, name="unfinished"),
    path("rooms/<uuid:pk>/specification/", office.specification, name="specification"),
    path("rooms/<uuid:pk>/layout/", choosing.choose, name="layout"),
    path("rooms/<uuid:pk>/layout/nudge/", choosing.nudge, name="nudge"),
    path("rooms/<uuid:pk>/layout/foreseen/", choosing.foreseen, name="foreseen"),
    path("layouts/<uuid:pk>/", choosing.earlier, name="chosen"),
    path("rooms/<uuid:pk>/sheet/", office.sheet, name="sheet"),
    path("rooms/<uuid:pk>/sheet/print/", prints.ask, name="sheet_print"),
    path("sheets/<uuid:pk>/", prints.state, name="sheet_state"),
    path("sheets/<uuid:pk>/file/", prints.file, name="sheet_file"),
    path("rooms/<uuid:pk>/file/", office.file, name="file"),
    path("rooms/<uuid:pk>/rough-in/", office_rough_in.rough_in, name="rough_in"),
    path("rooms/<uuid:pk>/rough-in/print/", office_rough_in.print_sheet, name="rough_in_print"),
    path("rough-in-sheets/<uuid:pk>/state/", office_rough_in.state, name="rough_in_state"),
    path("rough-in-sheets/<uuid:pk>/file/", office_rough_in.file, name="rough_in_file"),
    path("jobs/<uuid:job_pk>/measure-sheet/", office_measuring.measure_sheet, name="measure_sheet"),
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
