"""The page Mail: what went out, what waits and why, for owner and office."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from shop.mail import queue_mail, send_mails
from shop.models import Mail, Staff

pytestmark = pytest.mark.django_db
PAGE = "/mail/"


def queue(number: int = 1, to: str = "rui@example.com") -> Mail:
    text = "The wait is <over>.\nhttp://localhost:8000/phases/1/\n"
    return queue_mail(key=f"test {number}", to=to, subject=f"Wait {number}", text=text)


def test_without_a_mail_server_it_says_so_and_where_one_is_set(as_office):
    queue()
    page = as_office.get(PAGE)
    assert "No mail server is set" in page.text
    assert "EMAIL_URL" in page.text
    assert "waiting" in page.text
    assert "The wait is &lt;over&gt;." in page.text
    assert 'name="again"' not in page.text
    assert 'name="test"' not in page.text
    for pressed in ({"test": ""}, {"again": str(queue().pk)}):
        answer = as_office.post(PAGE, pressed, follow=True)
        assert "nothing can be sent" in answer.text
    assert Mail.objects.count() == 1


def test_an_empty_one_says_what_will_stand_there(as_owner):
    assert "No mail yet" in as_owner.get(PAGE).text


def test_each_mail_shows_how_it_stands_the_newest_first(as_office, postbox):
    postbox.refuses["gone@example.com"] = "550 5.1.1 no <such> mailbox"
    postbox.refuses["busy@example.com"] = "450 4.2.1 busy"
    queue(1, "gone@example.com")
    queue(2, "busy@example.com")
    queue(3)
    send_mails()
    queue(4)
    page = as_office.get(PAGE).text
    assert re.findall(r"<h2[^>]*>(Wait \d)</h2>", page) == ["Wait 4", "Wait 3", "Wait 2", "Wait 1"]
    four, three, two, one = re.split(r"<h2", page)[1:]
    assert "waiting" in four
    assert re.search(r"sent \w{3}, ", three)
    assert "Try again" not in three
    assert re.search(r"not sent yet, next try \w{3}, ", two)
    assert "After 1 try: busy@example.com: 450 4.2.1 busy" in two
    assert "no longer tried" in one
    assert "no &lt;such&gt; mailbox" in one
    assert "127.0.0.1" in page  # through which server
    assert "office@example.com" in page


def test_one_that_failed_is_tried_again_at_a_press(as_office, postbox):
    postbox.refuses["rui@example.com"] = "550 5.1.1 no such mailbox"
    mail = queue()
    send_mails()
    postbox.refuses.clear()
    answer = as_office.post(PAGE, {"again": str(mail.pk)}, follow=True)
    assert "tried again within half a minute" in answer.text
    assert send_mails() == 1
    assert "sent already" in as_office.post(PAGE, {"again": str(mail.pk)}, follow=True).text


@pytest.mark.parametrize("key", ["", "no key", "00000000-0000-7000-8000-000000000000"])
def test_a_mail_that_isnt_there_isnt_found(as_office, postbox, key):
    assert as_office.post(PAGE, {"again": key}).status_code == 404


def test_a_test_mail_goes_to_who_asked_once(as_office, office, postbox):
    key = re.search(r'name="key" value="([^"]+)"', as_office.get(PAGE).text)[1]
    for _press in range(2):
        answer = as_office.post(PAGE, {"test": "", "key": key}, follow=True)
        assert "A test mail to petra@example.com" in answer.text
    assert send_mails() == 1
    [message] = postbox.messages
    assert (message["To"], message["Subject"]) == ("petra@example.com", "Test mail from Gaugerod")


def test_without_an_address_there_is_no_test_mail(as_office, office, postbox):
    Staff.objects.filter(pk=office.pk).update(email="")
    assert "no e-mail address with your name" in as_office.post(PAGE, {"test": ""}, follow=True).text
    assert not Mail.objects.exists()


def test_an_installer_doesnt_get_in(as_installer):
    assert as_installer.get(PAGE).status_code == 403
    assert as_installer.post(PAGE, {"test": ""}).status_code == 403


def test_settings_and_week_lead_there(as_owner, as_office):
    assert f'href="{PAGE}"' in as_owner.get(reverse("shop:settings")).text
    assert f'href="{PAGE}"' in as_office.get(reverse("home:week")).text


def test_many_mails_are_paged_and_cost_no_more_queries(as_office, django_assert_num_queries):
    queue()
    with django_assert_num_queries(5):  # session, user, settings, count, mails
        as_office.get(PAGE)
    for number in range(2, 31):
        queue(number)
    with django_assert_num_queries(5):
        page = as_office.get(PAGE)
    assert page.text.count("sheet mail") == 25
    assert as_office.get(PAGE + "?page=2").text.count("sheet mail") == 5


def test_a_mail_given_up_is_due_for_five_more_days_once_tried_again(as_office, closed_postbox):
    mail = queue()
    Mail.objects.update(give_up_at=timezone.now() - timedelta(days=30))
    as_office.post(PAGE, {"again": str(mail.pk)})
    with closed_postbox.open():
        assert send_mails() == 1
