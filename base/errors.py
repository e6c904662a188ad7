from django.utils.translation import gettext as _


class Refused(Exception):
    """What was asked for can't be done now. The message is for the person who asked: what, why, and what to do.

    `field`: the field of a form that it is about, where it is about one.
    """

    def __init__(self, message: str = "", *, field: str = "") -> None:
        super().__init__(message)
        self.field = field


class KeyTaken(Refused):
    """Something with this key came before: from another person, for another row, or with other content."""


class ChangedMeanwhile(Refused):
    """Somebody changed it since it was opened."""

    def __init__(self, message: str = "") -> None:
        super().__init__(
            message or _("Somebody changed this in the meantime. Look at it again, then keep yours or leave it.")
        )
