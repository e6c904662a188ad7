from django.contrib.auth.views import LogoutView
from django.urls import path

from shop import field, mail_page, office, public

app_name = "shop"
urlpatterns = [
    path("login/", public.LogIn.as_view(), name="login"),
    path("logout/", LogoutView.as_view(), name="logout"),
    path("language/", field.language, name="language"),
    path("password/", field.password, name="password"),
    path("alive/", public.alive, name="alive"),
    path("logo/", public.logo, name="logo"),
    path("staff/", office.staff, name="staff"),
    path("staff/new/", office.staff_new, name="staff_new"),
    path("staff/<uuid:pk>/", office.staff_edit, name="staff_edit"),
    path("settings/", office.settings, name="settings"),
    path("mail/", mail_page.mail, name="mail"),
    path("settings/limits/", office.limits, name="limits"),
    path("settings/limits/<slug:key>/", office.limit, name="limit"),
]
