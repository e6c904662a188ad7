from django.urls import path

from clients import office, office_list

app_name = "clients"
urlpatterns = [
    path("clients/", office.client_list, name="list"),
    path("clients/new/", office.new, name="new"),
    path("clients/list/", office_list.client_list, name="client_list"),
    path("clients/list/file/", office_list.client_list_file, name="client_list_file"),
    path("clients/<uuid:pk>/", office.detail, name="detail"),
    path("clients/<uuid:pk>/edit/", office.edit, name="edit"),
    path("clients/<uuid:pk>/sites/new/", office.site_new, name="site_new"),
    path("sites/<uuid:pk>/", office.site_edit, name="site_edit"),
]
