"""Clients from a file: who is there already is told, and all rows are taken over or none."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.models import Client, Site
from shop.models import ShopSettings
from tests.factories import ClientFactory, SiteFactory
from tests.support.table_pages import fates, look, take

pytestmark = pytest.mark.django_db
HEAD = "Name,Kind,Contact,Phone,Email,Street,City,State,ZIP\n"


@pytest.fixture
def url():
    return reverse("clients:client_list")


@pytest.fixture
def odalys():
    client = ClientFactory(name="Odalys Brandt", phone="(555) 555-0101", email="odalys@example.com")
    SiteFactory(client=client, street="14 Quarry Lane", city="Millbrook")
    return client


def entered(as_office, url, table, with_known="skip"):
    answer = take(as_office, url, look(as_office, url, table), with_known=with_known)
    assert answer.url == reverse("clients:list")
    return as_office.get(answer.url).content.decode()


def test_a_client_comes_with_the_site_as_the_row_has_them(as_office, url):
    table = (
        HEAD + "Halvorsen Builders,Business,Ida,555-0133,ida@example.com,9 Kiln Street,Millbrook,MA,02139\n"
        "Núñez Peña,,,,,,,,\n"
    )
    shown = look(as_office, url, table)
    assert fates(shown) == {
        2: ("new client", "Ida, 555-0133, ida@example.com, 9 Kiln Street, Millbrook, MA, 02139"),
        3: ("new client", ""),
    }
    assert Client.objects.count() == 0
    assert "2 clients taken over, 1 site." in entered(as_office, url, table)
    halvorsen = Client.objects.get(kind="business")
    assert (halvorsen.name, halvorsen.contact, halvorsen.phone) == ("Halvorsen Builders", "Ida", "555-0133")
    site = halvorsen.sites.get()
    assert (site.street, site.city, site.region, site.postal_code) == ("9 Kiln Street", "Millbrook", "MA", "02139")
    assert Client.objects.get(kind="person").name == "Núñez Peña"


KNOWN = (
    HEAD + "odalys  brandt,,,+1 555 555 0101,,8 Ferry Road,Millbrook,,\n"  # by the phone; another street
    "Odalys Brandt,,,,ODALYS@example.com,,,,\n"  # by the email
    "Odalys Brandt,,,,,14 Quarry lane,Millbrook,,\n"  # by the street
    "Odalys Brandt,,,555-0199,,,,,\n"  # somebody else of that name
    "Rufina Oyelaran,,,555-0144,,1 Dock Street,,,\n"
    "Rufina Oyelaran,,,555-0144,,2 Dock Street,,,\n"  # the row before, another street
    "Odalys Brandt,,,,,,,,\n"  # by the name alone
)


def test_who_is_there_already_is_told(as_office, url, odalys):
    shown = fates(look(as_office, url, KNOWN))
    who = "Is there already: Odalys Brandt, (555) 555-0101."
    assert shown[2] == ("known", f"{who} The street is another one.")
    assert shown[3] == shown[4] == shown[8] == ("known", who)
    assert shown[5] == ("new client", "555-0199")
    assert shown[6] == ("new client", "555-0144, 1 Dock Street")
    assert shown[7] == ("known", "Is there already: row 6. The street is another one.")


def streets(name):
    return sorted(Site.objects.filter(client__name=name).values_list("street", flat=True))


def test_who_is_there_already_is_left_out(as_office, url, odalys):
    assert "2 clients taken over, 1 site, 5 were there already." in entered(as_office, url, KNOWN)
    assert (Client.objects.count(), streets("Rufina Oyelaran")) == (3, ["1 Dock Street"])
    assert streets("Odalys Brandt") == ["14 Quarry Lane"]


def test_or_gets_another_site(as_office, url, odalys):
    entered(as_office, url, KNOWN, with_known="site")
    assert Client.objects.count() == 3
    assert streets("Rufina Oyelaran") == ["1 Dock Street", "2 Dock Street"]
    assert sorted(odalys.sites.values_list("street", flat=True)) == ["14 Quarry Lane", "8 Ferry Road"]


def test_or_is_entered_once_more_where_that_is_wanted(as_office, url, odalys):
    entered(as_office, url, KNOWN, with_known="again")
    assert (Client.objects.count(), Site.objects.count()) == (8, 5)


BAD_ROWS = [
    (",,,,,,,,", None),
    (",,Ida,,,,,,", "Name: This field is required."),
    ("Ida,Robot,,,,,,,", "Kind: Select a valid choice. Robot"),
    ("Ida,,,,no address,,,,", "Email: Enter a valid email address."),
    ("Ida,,,,,,Millbrook,,", "A site needs its street."),
    (f"Ida,,,{'5' * 41},,,,,", "Phone: Ensure this value has at most 40 characters"),
    ("<script>alert(1)</script>,,,,x,,,,", "Email: Enter a valid"),
]


def test_bad_rows_say_why_and_keep_all_of_them_back(as_office, url):
    shown = look(as_office, url, HEAD + "Rufina Oyelaran,,,,,,,,\n" + "\n".join(row for row, _ in BAD_ROWS))
    found = fates(shown)
    assert sorted(found) == [2, 4, 5, 6, 7, 8, 9]  # the third is blank
    for number, (row, says) in enumerate(BAD_ROWS, start=3):
        assert says is None or (found[number][0] == "can't be taken" and says in found[number][1]), (row, found[number])
    page = shown.content.decode()
    assert 'name="take"' not in page
    assert "<script>alert" not in page
    answer = as_office.post(url, {"take": "", "kept": shown.context["kept"], "with_known": "skip"})
    assert (answer.status_code, Client.objects.count()) == (422, 0)


def test_a_formula_is_kept_as_text(as_office, url):
    entered(as_office, url, HEAD + "\"=cmd|' /C calc'!A0\",,,,,,,,\n")
    assert Client.objects.get().name == "=cmd|' /C calc'!A0"


def test_taken_over_twice_they_are_entered_once(as_office, url):
    shown = look(as_office, url, HEAD + "Rufina Oyelaran,,,,,,,,\n")
    assert take(as_office, url, shown, with_known="skip").status_code == 302
    again = take(as_office, url, shown, with_known="skip")
    assert again.status_code == 422
    assert fates(again)[2] == ("known", "Is there already: Rufina Oyelaran.")
    assert Client.objects.count() == 1


def test_what_becomes_of_known_ones_has_to_be_said(as_office, url):
    shown = look(as_office, url, HEAD + "Rufina Oyelaran,,,,,,,,\n")
    assert take(as_office, url, shown, with_known="perhaps").status_code == 422
    assert Client.objects.count() == 0


def test_queries_don_t_grow_with_rows(as_office, url, odalys):
    def queries(rows):
        table = HEAD + "".join(f"{row},,,,,{row} Street,,,\n" for row in rows)
        with CaptureQueriesContext(connection) as looked:
            shown = look(as_office, url, table)
        with CaptureQueriesContext(connection) as taken:
            assert take(as_office, url, shown, with_known="skip").status_code == 302
        return len(looked), len(taken)

    ShopSettings.objects.get_or_create(pk=1)
    few = queries(["Anna", "Berta"])
    assert queries([f"Person {number}" for number in range(60)]) == few


def test_the_empty_table_has_the_headings_that_are_read(as_office, url):
    file = as_office.get(reverse("clients:client_list_file"))
    table = file.content + b"Ida,Person,Ida,555-0133,ida@example.com,9 Kiln Street,Millbrook,MA,02139\r\n"
    entered(as_office, url, table)
    assert Client.objects.get().sites.get().postal_code == "02139"


def test_no_installer_enters_clients(as_installer, url):
    assert look(as_installer, url, HEAD + "Ida,,,,,,,,\n").status_code == 403
    assert Client.objects.count() == 0
