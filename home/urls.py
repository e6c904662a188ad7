from django.urls import URLPattern, path

from home import field, office, phone, trust

app_name = "home"
urlpatterns: list[URLPattern] = [
    path("", office.start, name="start"),
    path("week/", office.week, name="week"),
    path("jobs/<uuid:pk>/", office.job, name="job"),
    path("today/", field.today, name="today"),
    path("pin/", phone.pin, name="pin"),
    path("sw.js", phone.worker, name="phone_worker"),
    path("manifest.webmanifest", phone.manifest, name="phone_manifest"),
    path("phone/me/", phone.me, name="phone_me"),
    path("phone/day/", phone.day, name="phone_day"),
    path("phone/known/", phone.known, name="phone_known"),
    path("phone/waiting/", phone.waiting, name="phone_waiting"),
    path("phone/offline/", phone.offline, name="phone_offline"),
    path("phone/trust/", trust.steps, name="trust"),
    path("phone/trust/shop.crt", trust.authority, name="trust_authority"),
    path("phones/", trust.phones, name="phones"),
]
