"""Static files are served by another user than the one who collected them: in the image, root and the shop's."""

import stat
from pathlib import Path

from django.conf import settings


def test_anybody_may_read_every_collected_file(static_files):
    collected = [path for path in Path(settings.STATIC_ROOT).rglob("*") if path.is_file()]
    assert "staticfiles.json" in {path.name for path in collected}
    assert [path for path in collected if not path.stat().st_mode & stat.S_IROTH] == []
