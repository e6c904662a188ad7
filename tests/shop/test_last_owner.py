"""A shop always has an owner who can log in."""

import threading

import pytest
from django.db import connection
from django.urls import reverse

from shop.actions import LastOwner, activate_staff, change_staff, deactivate_staff
from shop.models import Role, Staff
from tests.factories import StaffFactory


def demote(staff, by):
    change_staff(staff=staff, name=staff.name, role=Role.OFFICE, by=by)


@pytest.mark.django_db
@pytest.mark.parametrize("attempt", [demote, lambda staff, by: deactivate_staff(staff=staff, by=by)])
def test_the_last_one_can_neither_be_demoted_nor_closed(owner, attempt):
    StaffFactory(role=Role.OWNER, is_active=False)
    with pytest.raises(LastOwner):
        attempt(owner, owner)
    owner.refresh_from_db()
    assert (owner.role, owner.is_active) == (Role.OWNER, True)


@pytest.mark.django_db
def test_one_of_two_can_go_and_then_the_other_stays(owner):
    second = StaffFactory(role=Role.OWNER)
    deactivate_staff(staff=second, by=owner)
    with pytest.raises(LastOwner):
        demote(owner, owner)
    activate_staff(staff=second, by=owner)
    demote(owner, second)
    owner.refresh_from_db()
    assert owner.role == Role.OFFICE


@pytest.mark.django_db
def test_the_page_says_so_and_keeps_what_was_typed(as_owner, owner):
    page = reverse("shop:staff_edit", args=[owner.pk])
    answer = as_owner.post(page, {"save": "", "name": "Ines O.", "role": "office", "email": "", "phone": ""})
    assert "only owner" in str(answer.context["form"].errors["role"])
    assert 'value="Ines O."' in answer.text
    answer = as_owner.post(page, {"deactivate": ""}, follow=True)
    assert "only owner" in answer.text


def test_two_owners_who_demote_each_other_at_once_leave_one(own_database):
    first, second = StaffFactory(role=Role.OWNER), StaffFactory(role=Role.OWNER)
    ready, refused = threading.Barrier(2, timeout=10), []

    def run(staff: Staff, by: Staff) -> None:
        try:
            ready.wait()
            demote(staff, by)
        except LastOwner:
            refused.append(staff)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in ((first, second), (second, first))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=20)
    assert len(refused) == 1
    assert Staff.objects.filter(role=Role.OWNER).count() == 1
