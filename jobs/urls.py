from django.urls import path

from jobs import office, photos

app_name = "jobs"
urlpatterns = [
    path("jobs/", office.job_list, name="list"),
    path("jobs/new/", office.new, name="new"),
    path("jobs/<uuid:pk>/edit/", office.edit, name="edit"),
    path("jobs/<uuid:pk>/move/", office.move, name="move"),
    path("jobs/<uuid:pk>/crew/", office.crew, name="crew"),
    path("jobs/<uuid:pk>/bookings/", office.bookings, name="bookings"),
    path("jobs/<uuid:pk>/photos/new/", photos.photo_new, name="photo_new"),
    path("bookings/<uuid:pk>/cancel/", office.booking_cancel, name="booking_cancel"),
    path("photos/<uuid:pk>/", photos.photo, name="photo"),
]
