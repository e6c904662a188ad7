class Refused(Exception):
    """What was asked for can't be done now. The message is for the person who asked: what, why, and what to do."""


class KeyTaken(Refused):
    """Something with this key came before: from another person, for another row, or with other content."""
