from types import SimpleNamespace

import pytest

from shop.templatetags import look


@pytest.fixture(autouse=True)
def shop(monkeypatch) -> SimpleNamespace:
    """Settings of a shop in inches and dollars, in place of the database's; a test may change them."""
    settings = SimpleNamespace(units="in", currency="USD", locale="en-us")
    monkeypatch.setattr(look, "_settings", lambda: settings)
    return settings
