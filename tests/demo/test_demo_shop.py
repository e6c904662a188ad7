"""The demo shop holds a job in every state, and leaves an empty shop when it is cleared."""

import io

import pytest
from django.core.management import CommandError, call_command

from jobs.models import Job, Stage


@pytest.fixture
def demo(own_database):
    logins = io.StringIO()
    call_command("load_demo", stdout=logins)
    return logins.getvalue()


def test_the_demo_shows_every_state_and_clears_to_an_empty_shop(demo, tmp_path, monkeypatch):
    from callbacks.models import Callback
    from documents.models import Document
    from estimating.change_queries import changes_pending
    from estimating.models import ChangeApproval
    from inspections.queries import phases_under_way
    from jobs.models import Photo
    from rooms.models import Tile
    from shop.models import ShopSettings, Staff

    assert set(Job.objects.values_list("stage", flat=True)) == set(Stage.values)
    assert Staff.objects.count() == 5
    assert any(view.state == "held" for view in phases_under_way())
    assert Callback.objects.filter(closed_at=None, visits__isnull=False).exists()
    assert ChangeApproval.objects.exists()
    assert [each.amount < 0 for each in changes_pending()] == [True]
    assert not Document.objects.exclude(state="ready").exists()
    photo = Photo.objects.first()
    assert photo.file.storage.exists(photo.file.name)

    with pytest.raises(CommandError, match="isn't empty"):
        call_command("load_demo")
    assert Job.objects.exists()

    settings = ShopSettings.objects.values("name", "units", "tax_percent").get()
    log_ins = tmp_path / "first-log-ins.txt"
    log_ins.write_text("ines secret-1\nrui secret-2\n")
    monkeypatch.setattr("django.conf.settings.VAR_DIR", tmp_path)
    call_command("clear_demo", yes=True, stdout=io.StringIO())
    assert log_ins.read_text() == "ines secret-1\n"
    for model in (Job, Photo, Callback, Document, Tile):
        assert not model.objects.exists()
    assert ShopSettings.objects.values("name", "units", "tax_percent").get() == settings
    assert [staff.role for staff in Staff.objects.all()] == ["owner"]
    assert not photo.file.storage.exists(photo.file.name)
    with pytest.raises(CommandError, match="isn't a demo shop"):
        call_command("clear_demo", yes=True)
