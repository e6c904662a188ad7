"""What a browser would send back from the entry page: every field of its form, as it stands there."""

from html.parser import HTMLParser


class _Form(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self.depth = 0
        self.select = ""

    def handle_starttag(self, tag, attrs):
        raw = dict(attrs)
        if tag == "form" and raw.get("id") == "entry":
            self.depth = 1
        if not self.depth:
            return
        name, kind = raw.get("name"), raw.get("type", "text")
        if tag == "input" and name and not (kind in ("checkbox", "radio") and "checked" not in raw):
            self.fields[name] = raw.get("value") or ("on" if kind == "checkbox" else "")
        elif tag == "select":
            self.select = name or ""
        elif tag == "option" and self.select and ("selected" in raw or self.select not in self.fields):
            self.fields[self.select] = raw.get("value") or ""

    def handle_endtag(self, tag):
        if tag == "form":
            self.depth = 0
        if tag == "select":
            self.select = ""


def fields_of(text: str) -> dict[str, str]:
    """Name and value of everything in the entry form of a page."""
    form = _Form()
    form.feed(text)
    assert form.fields, "the page has no entry form"
    return form.fields
