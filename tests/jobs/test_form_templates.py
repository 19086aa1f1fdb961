"""Our form markup: labels, help and errors are tied to their fields."""

from django import forms
from django.template import engines
from django.test.html import Element, parse_html

from tests.look_samples import MaterialFormSet, SampleForm, materials

WRONG = {"email": "maeve", "length_m": "-2", "ready": "perhaps", "version": "3"}


def rendered(source: str, **context: object) -> Element:
    """The markup of a snippet that loads the crispy tags, as a tree."""
    template = engines["django"].from_string("{% load crispy_forms_tags %}" + source)
    return parse_html(f"<main>{template.render(context)}</main>")


def every(root: Element, tag: str, /, **wanted: str | None) -> list[Element]:
    """Elements of this name, in order, whose attributes are as wanted."""
    found = []
    for child in root.children:
        if isinstance(child, Element):
            attributes = dict(child.attributes)
            if child.name == tag and wanted.items() <= attributes.items():
                found.append(child)
            found += every(child, tag, **wanted)
    return found


def words(element: Element) -> str:
    """Text of an element, tags left out."""
    parts = [c if isinstance(c, str) else words(c) for c in element.children]
    return " ".join(" ".join(parts).split())


def ids(root: Element) -> set[str]:
    """Every id in the tree."""
    found = {dict(root.attributes).get("id") or ""}
    for child in root.children:
        if isinstance(child, Element):
            found |= ids(child)
    return found


def only(root: Element, tag: str, /, **wanted: str | None) -> Element:
    """The one element of this kind."""
    (element,) = every(root, tag, **wanted)
    return element


def test_every_input_has_a_label():
    page = rendered("{% crispy form %}", form=SampleForm())
    labelled = {dict(label.attributes)["for"] for label in every(page, "label")}
    fields = [
        dict(field.attributes)
        for kind in ("input", "select", "textarea")
        for field in every(page, kind)
    ]
    shown = {field["id"] for field in fields if field.get("type") != "hidden"}
    assert shown
    assert shown <= labelled


def test_help_is_read_with_its_field():
    page = rendered("{{ form|crispy }}", form=SampleForm())
    field = dict(only(page, "input", id="id_client").attributes)
    help_text = only(page, "p", id=field["aria-describedby"])
    assert words(help_text) == "The name on the contract."


def test_error_is_read_with_its_field():
    page = rendered("{% crispy form %}", form=SampleForm(WRONG))
    field = dict(only(page, "input", id="id_email").attributes)
    assert field["aria-invalid"] == "true"
    error = only(page, "div", id=field["aria-describedby"])
    assert words(error) == "Error: Enter a valid email address."


def test_what_was_typed_comes_back():
    page = rendered("{% crispy form %}", form=SampleForm(WRONG))
    assert dict(only(page, "input", id="id_email").attributes)["value"] == "maeve"


def test_a_good_form_says_nothing_of_errors():
    page = rendered("{% crispy form %}", form=SampleForm())
    assert every(page, "section") == []
    assert every(page, "p", **{"class": "error"}) == []


def test_summary_links_to_fields_that_exist():
    page = rendered("{% crispy form %}", form=SampleForm(WRONG))
    summary = only(page, "section", role="alert")
    targets = [str(dict(a.attributes)["href"]).lstrip("#") for a in every(summary, "a")]
    assert len(targets) == 9
    assert set(targets) <= ids(page)


def test_summary_names_the_field_and_the_trouble():
    page = rendered("{% crispy form %}", form=SampleForm(WRONG))
    links = [words(a) for a in every(only(page, "section", role="alert"), "a")]
    assert "Email – Enter a valid email address." in links


def test_error_of_the_whole_form_is_in_the_summary():
    form = SampleForm(WRONG)
    form.add_error(None, "The gate opens before the crew is there.")
    page = rendered("{{ form|crispy }}", form=form)
    items = every(only(page, "section", role="alert"), "li")
    assert words(items[0]) == "The gate opens before the crew is there."


def test_optional_is_a_word_and_required_is_the_rule():
    page = rendered("{% crispy form %}", form=SampleForm())
    labels = {dict(x.attributes)["for"]: words(x) for x in every(page, "label")}
    assert labels["id_email"] == "Email (optional)"
    assert labels["id_client"] == "Client"


def test_choices_stand_in_a_fieldset_with_a_legend():
    page = rendered("{% crispy form %}", form=SampleForm({**WRONG, "frame": "steel"}))
    group = only(page, "fieldset", id="id_frame")
    assert words(only(group, "legend")) == "Frame"
    chosen = [
        dict(radio.attributes)["value"]
        for radio in every(group, "input", type="radio")
        if "checked" in dict(radio.attributes)
    ]
    assert chosen == ["steel"]


def test_inline_radios_become_big_choices():
    page = rendered("{% crispy form %}", form=SampleForm())
    group = only(page, "fieldset", id="id_ready")
    only(group, "div", **{"class": "choices inline"})
    assert [words(x) for x in every(group, "label")] == ["Yes", "No", "Not here"]


def test_grouped_choices_keep_their_headings():
    class Grouped(forms.Form):
        tool = forms.ChoiceField(
            choices=[("Cutting", [("saw", "Drop saw")]), ("Fixing", [("gun", "Gun")])],
            widget=forms.RadioSelect,
        )

    page = rendered("{{ form|crispy }}", form=Grouped())
    headings = every(page, "p", **{"class": "choices-group"})
    assert [words(heading) for heading in headings] == ["Cutting", "Fixing"]


def test_unit_is_told_to_eye_and_ear():
    page = rendered("{% crispy form %}", form=SampleForm())
    label = only(page, "label", **{"for": "id_length_m"})
    assert words(label) == "Length along the house in m"
    assert only(page, "span", **{"aria-hidden": "true"}).children == ["m"]


def test_a_form_with_a_file_is_sent_in_parts():
    page = rendered("{% crispy form %}", form=SampleForm())
    assert dict(only(page, "form").attributes)["enctype"] == "multipart/form-data"


def test_a_kept_file_can_be_opened_and_removed():
    class Kept:
        url = "/files/7"

        def __str__(self) -> str:
            return "certificate.pdf"

    class Evidence(forms.Form):
        paper = forms.FileField(required=False)

    page = rendered("{{ form|crispy }}", form=Evidence(initial={"paper": Kept()}))
    assert words(only(page, "a", href="/files/7")) == "certificate.pdf"
    only(page, "input", name="paper-clear", type="checkbox")


def test_submit_is_a_button_that_sends_its_name():
    page = rendered("{% crispy form %}", form=SampleForm())
    button = only(page, "button", type="submit")
    assert dict(button.attributes)["name"] == "save"
    assert words(button) == "Save the job"


def test_hidden_fields_take_no_room():
    page = rendered("{% crispy form %}", form=SampleForm())
    hidden = only(page, "input", name="version")
    assert dict(hidden.attributes)["type"] == "hidden"
    assert every(page, "div", id="div_id_version") == []


def test_table_of_rows_labels_every_cell():
    page = rendered("{% crispy rows %}", rows=materials())
    assert len(every(only(page, "tbody"), "tr")) == 3
    label = only(page, "label", **{"for": "id_materials-1-quantity"})
    assert words(label).split() == ["How", "many", ",", "row", "2"]


def test_table_of_rows_brings_an_empty_row_to_copy():
    page = rendered("{% crispy rows %}", rows=materials())
    empty = only(page, "template")
    assert every(empty, "input", name="materials-__prefix__-name")


def test_rows_that_went_wrong_are_named_by_number():
    data = {
        "materials-TOTAL_FORMS": "2",
        "materials-INITIAL_FORMS": "2",
        "materials-0-name": "Post",
        "materials-0-quantity": "4",
        "materials-0-unit": "each",
        "materials-1-name": "Beam",
        "materials-1-quantity": "many",
        "materials-1-unit": "m",
    }
    page = rendered("{{ rows|crispy }}", rows=MaterialFormSet(data, prefix="materials"))
    link = only(only(page, "section", role="alert"), "a")
    assert words(link).startswith("Row 2, How many – ")
    assert dict(link.attributes)["href"] == "#id_materials-1-quantity"
