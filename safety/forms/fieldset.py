"""A field of a form that is many inputs, such as rows."""

from typing import Any

from django import forms


class FieldsetWidget(forms.Widget):
    """Many inputs under one name: none of them filled in is an answer too."""

    use_fieldset = True

    def value_omitted_from_data(self, data: Any, files: Any, name: str) -> bool:
        """Nothing typed is not the same as nothing sent."""
        return False

    def id_for_label(self, id_: str) -> str:
        """The fieldset is what an error leads to."""
        return id_
