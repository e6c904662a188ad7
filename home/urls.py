from django.urls import URLPattern, path

from home import field, office

app_name = "home"
urlpatterns: list[URLPattern] = [
    path("", office.start, name="start"),
    path("week/", office.week, name="week"),
    path("jobs/<uuid:pk>/", office.job, name="job"),
    path("today/", field.today, name="today"),
]
