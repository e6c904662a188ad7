from django.urls import URLPattern, path

from estimating import client
from estimating.office import estimates, proposals, rates

app_name = "estimating"
urlpatterns: list[URLPattern] = [
    path("rates/", rates.rates, name="rates"),
    path("rates/rules/", rates.rate_rules, name="rate_rules"),
    path("rates/tile/<uuid:pk>/", rates.rate_tile, name="rate_tile"),
    path("rates/<slug:key>/", rates.rate_edit, name="rate_edit"),
    path("jobs/<uuid:pk>/estimate/", estimates.estimate, name="estimate"),
    path("jobs/<uuid:pk>/estimate/fill/", estimates.fill, name="fill"),
    path("jobs/<uuid:pk>/estimate/found/", estimates.contingency_new, name="contingency_new"),
    path("estimate-found/<uuid:pk>/", estimates.contingency, name="contingency"),
    path("jobs/<uuid:pk>/estimate/line/", estimates.line_new, name="line_new"),
    path("estimate-lines/<uuid:pk>/", estimates.line, name="line"),
    path("proposals/<uuid:pk>/", proposals.proposal, name="proposal"),
    path("proposals/<uuid:pk>/file/", proposals.proposal_file, name="proposal_file"),
    path("proposals/<uuid:pk>/state/", proposals.proposal_state, name="proposal_state"),
    path("p/<str:token>/", client.client_proposal, name="client_proposal"),
    path("p/<str:token>/file/", client.client_file, name="client_file"),
    path("p/<str:token>/decline/", client.client_decline, name="client_decline"),
]
