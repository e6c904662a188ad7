from django.urls import include, path

urlpatterns = [
    path("", include("home.urls")),
    path("", include("shop.urls")),
    path("", include("clients.urls")),
    path("", include("jobs.urls")),
    path("", include("rooms.urls")),
    path("", include("estimating.urls")),
    path("", include("inspections.urls")),
    path("", include("callbacks.urls")),
]
