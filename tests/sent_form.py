"""The form of a page as a browser without scripts would send it, read from its HTML."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

Attributes = dict[str, str | None]


@dataclass(slots=True)
class Form:
    """Where a form goes and what is in its fields."""

    action: str
    fields: list[tuple[str, str]] = field(default_factory=list)

    def values(self) -> dict[str, list[str]]:
        """What is sent, by name."""
        found: dict[str, list[str]] = {}
        for name, value in self.fields:
            found.setdefault(name, []).append(value)
        return found


class _Reader(HTMLParser):
    """Collects the posting forms of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._form: Form | None = None
        self._select: str | None = None
        self._options: list[tuple[str, bool]] = []
        self._area: tuple[str, list[str]] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found: Attributes = dict(attrs)
        if tag == "form":
            posts = (found.get("method") or "get").lower() == "post"
            self._form = Form(found.get("action") or "") if posts else None
        elif tag == "input":
            self._input(found)
        elif tag == "select":
            self._select, self._options = found.get("name"), []
        elif tag == "option":
            self._options.append((found.get("value") or "", "selected" in found))
        elif tag == "textarea" and found.get("name"):
            self._area = (found["name"] or "", [])

    def _input(self, found: Attributes) -> None:
        kind, name = found.get("type") or "text", found.get("name")
        if not name or kind in {"submit", "button", "file", "image", "reset"}:
            return
        if kind not in {"checkbox", "radio"}:
            self._add(name, found.get("value") or "")
        elif "checked" in found:
            self._add(name, found.get("value") or "on")

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            self._area[1].append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form" and self._form is not None:
            self.forms.append(self._form)
            self._form = None
        elif tag == "select" and self._select:
            chosen = [value for value, is_chosen in self._options if is_chosen]
            first = [value for value, _ in self._options[:1]]
            for value in chosen or first:
                self._add(self._select, value)
            self._select = None
        elif tag == "textarea" and self._area is not None:
            self._add(self._area[0], "".join(self._area[1]).removeprefix("\n"))
            self._area = None

    def _add(self, name: str, value: str) -> None:
        if self._form is not None:
            self._form.fields.append((name, value))


def forms_in(html: str) -> list[Form]:
    """The posting forms of a page."""
    reader = _Reader()
    reader.feed(html)
    return reader.forms


def own_form(html: str, path: str) -> Form | None:
    """The form that a page sends to its own address: the one that is most of it."""
    own = [form for form in forms_in(html) if form.action in {"", path}]
    return max(own, key=lambda form: len(form.fields), default=None)
