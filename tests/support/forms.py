"""Forms of a page as a browser sends them."""

from django.forms import BaseForm


def as_sent(*forms: BaseForm) -> dict[str, object]:
    """What the forms hold as they stand: a box that isn't ticked, and what nobody filled in, isn't sent."""
    fields: dict[str, object] = {}
    for bound in (bound for form in forms for bound in form):
        value = bound.value()
        if value is not None and value is not False:
            fields[bound.html_name] = "on" if value is True else value
    return fields
