from base.errors import Refused


class BadTable(Refused):
    """A file that can't be read as a table. The message says where, and what to do."""
