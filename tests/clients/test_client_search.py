"""Finding a client again."""

import pytest
from django.urls import reverse

from tests.factories import ClientFactory, SiteFactory

pytestmark = pytest.mark.django_db


def found(browser, **query: str) -> set[str]:
    return {client.name for client in browser.get(reverse("clients:list"), query).context["page"]}


@pytest.fixture
def three():
    SiteFactory(client=ClientFactory(name="Odalys Brandt", phone="555-0142"), street="14 Quarry Lane", city="Millbrook")
    ClientFactory(name="Halvorsen Builders", contact="Ida", phone="555-0133", email="ida@example.com")
    ClientFactory(name="100% Tile_Fans", phone="", email="")


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("odalys", {"Odalys Brandt"}),
        ("0133", {"Halvorsen Builders"}),
        ("quarry", {"Odalys Brandt"}),
        ("MILLBROOK", {"Odalys Brandt"}),
        ("Ida", {"Halvorsen Builders"}),
        ("  odalys  ", {"Odalys Brandt"}),
        ("%", {"100% Tile_Fans"}),
        ("_", {"100% Tile_Fans"}),
        ("nobody", set()),
        ("'; DROP TABLE clients_client; --", set()),
    ],
)
def test_by_a_piece_of_name_phone_street_town_or_contact(as_office, three, words, names):
    assert found(as_office, q=words) == names


def test_without_words_all_are_there(as_office, three):
    assert len(found(as_office)) == 3
    assert len(found(as_office, q="")) == 3


def test_a_client_with_many_sites_that_fit_is_found_once(as_office):
    client = ClientFactory(name="Landlord")
    SiteFactory.create_batch(4, client=client, street="1 Quarry Lane")
    page = as_office.get(reverse("clients:list"), {"q": "quarry"}).context["page"]
    assert [(c.name, c.site_count) for c in page] == [("Landlord", 4)]


@pytest.mark.parametrize("query", [{"q": "a\x00b"}, {"q": "x" * 101}, {"page": "0"}, {"page": "last"}, {"page": "-1"}])
def test_odd_queries_show_a_page(as_office, three, query):
    assert as_office.get(reverse("clients:list"), query).status_code == 200


def test_pages_hold_25_and_keep_the_search_and_the_number_of_queries(as_office, django_assert_num_queries):
    ClientFactory.create_batch(3)
    as_office.get(reverse("clients:list"))
    with django_assert_num_queries(5):  # session, user, settings, count, page
        as_office.get(reverse("clients:list"))
    ClientFactory.create_batch(30)
    with django_assert_num_queries(5):
        answer = as_office.get(reverse("clients:list"), {"q": "Odalys"})
    assert len(answer.context["page"]) == 25
    assert "?q=Odalys&amp;page=2" in answer.text
    assert len(as_office.get(reverse("clients:list"), {"q": "Odalys", "page": 2}).context["page"]) == 8


def test_nothing_found_says_what_was_looked_through(as_office):
    assert "Nothing found for “nobody”" in as_office.get(reverse("clients:list"), {"q": "nobody"}).text
    assert "No clients yet" in as_office.get(reverse("clients:list")).text


def test_clients_stand_by_name(as_office):
    for name in ("Mills", "Abara", "Zielinski", "Novak"):
        ClientFactory(name=name)
    page = as_office.get(reverse("clients:list")).context["page"]
    assert [client.name for client in page] == ["Abara", "Mills", "Novak", "Zielinski"]
