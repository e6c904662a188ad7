from django.urls import path

from callbacks import office

app_name = "callbacks"
urlpatterns = [
    path("callbacks/", office.callback_list, name="list"),
    path("callbacks/<uuid:pk>/", office.detail, name="detail"),
    path("jobs/<uuid:pk>/callbacks/new/", office.new, name="new"),
    path("jobs/<uuid:pk>/close-out/", office.close_out, name="close_out"),
]
