from django.urls import URLPattern, path

from estimating import client
from estimating.office import estimates, local_limits, payments, proposals, rates, sending, texts, versions

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
    path("proposals/<uuid:pk>/changes/", versions.proposal_changes, name="proposal_changes"),
    path("proposal-texts/", texts.texts, name="texts"),
    path("proposal-texts/<str:key>/", texts.text, name="text"),
    path("payment-steps/", payments.payments, name="payments"),
    path("jobs/<uuid:pk>/payment-steps/", payments.job_payments, name="job_payments"),
    path("local-limits/", local_limits.local_limits, name="local_limits"),
    path("local-limits/new/", local_limits.local_limit_new, name="local_limit_new"),
    path("local-limits/<slug:key>/", local_limits.local_limit, name="local_limit"),
    path("proposals/<uuid:pk>/send/", sending.send, name="send"),
    path("proposals/<uuid:pk>/paper/", proposals.signed_paper, name="signed_paper"),
    path("questions/<uuid:pk>/answer/", sending.answer, name="answer"),
    path("p/<str:token>/", client.client_proposal, name="client_proposal"),
    path("p/<str:token>/file/", client.client_file, name="client_file"),
    path("p/<str:token>/ask/", client.client_ask, name="client_ask"),
    path("p/<str:token>/decline/", client.client_decline, name="client_decline"),
]
