from django.urls import URLPattern, path

from inspections import as_built, checklists, client, field, office, sorting, surveying

app_name = "inspections"
urlpatterns: list[URLPattern] = [
    path("rooms/<uuid:pk>/phases/", field.room, name="room"),
    path("rooms/<uuid:pk>/as-built/", as_built.take_over, name="as_built"),
    path("phases/<uuid:pk>/", field.phase, name="phase"),
    path("phases/<uuid:pk>/sign/", field.sign, name="sign"),
    path("checks/<uuid:pk>/entry/", field.entry, name="entry"),
    path("checks/<uuid:pk>/survey/", surveying.survey, name="survey"),
    path("entries/<uuid:pk>/report/", field.report, name="report"),
    path("entries/<uuid:pk>/amend/", field.amend_entry, name="amend_entry"),
    path("sign-offs/<uuid:pk>/amend/", field.amend_sign_off, name="amend_sign_off"),
    path("checks/<uuid:pk>/waive/", field.waive, name="waive"),
    path("jobs/<uuid:pk>/photos/to-sort/", sorting.sort, name="sort"),
    path("jobs/<uuid:pk>/punch-list/", office.punch_list, name="punch_list"),
    path("jobs/<uuid:pk>/punch-list/start/", office.punch_start, name="punch_start"),
    path("jobs/<uuid:pk>/punch-list/print/", office.punch_print, name="punch_print"),
    path("punch-items/<uuid:pk>/", office.punch_item, name="punch_item"),
    path("punch-lists/<uuid:pk>/state/", office.punch_state, name="punch_state"),
    path("punch-lists/<uuid:pk>/file/", office.punch_file, name="punch_file"),
    path("settings/checklists/", checklists.checklists, name="checklists"),
    path("settings/checklists/<slug:phase>/", checklists.checklist, name="checklist"),
    path("p/<str:token>/accept/", client.accept, name="client_accept"),
    path("proposals/<uuid:pk>/accept/", client.accept_in_person, name="accept_in_person"),
    path("proposals/<uuid:pk>/accept-on-paper/", client.accept_on_paper, name="accept_on_paper"),
]
