from django.urls import path

from rooms import field, office

app_name = "rooms"
urlpatterns = [
    path("jobs/<uuid:job_pk>/rooms/new/", office.new, name="new"),
    path("jobs/<uuid:job_pk>/rooms/upload/", office.upload, name="upload"),
    path("rooms/<uuid:pk>/", office.detail, name="detail"),
    path("rooms/<uuid:pk>/edit/", office.edit, name="edit"),
    path("rooms/<uuid:pk>/layout/", office.choose, name="layout"),
    path("rooms/<uuid:pk>/sheet/", office.sheet, name="sheet"),
    path("rooms/<uuid:pk>/file/", office.file, name="file"),
    path("rooms/<uuid:pk>/surveys/", field.surveys, name="surveys"),
    path("rooms/<uuid:pk>/surveys/new/", field.new_survey, name="new_survey"),
    path("surveys/<uuid:pk>/", field.survey, name="survey"),
]
