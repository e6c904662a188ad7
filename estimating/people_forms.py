from django import forms
from django.utils.translation import gettext_lazy as _

from estimating.forms import _figure


class HourlyCostForm(forms.Form):
    """What an hour of a person costs: the wage, and what comes on top of it."""

    wage = _figure(label=_("Wage an hour"), places=2, least="0.01", most="9999")
    burden_percent = _figure(
        label=_("Burden, percent of the wage"),
        places=2,
        most="300",
        help_text=_(
            "Payroll taxes, workers’ compensation, liability insurance, paid time off, benefits. Law and insurer set "
            "them: take them from your payroll and your policies, or ask your accountant. Rent, truck and office are "
            "overhead: leave them out."
        ),
    )
