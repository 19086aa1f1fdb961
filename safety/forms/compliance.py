"""The period that compliance is looked at over."""

from datetime import date
from typing import Any

from django import forms

from jobs.forms.fields import DayField, filter_helper

LONGEST_DAYS = 400


class PeriodForm(forms.Form):
    """From one day to another, both included."""

    first = DayField(label="From", required=False)
    last = DayField(label="To", required=False)

    def __init__(self, data: Any, *, today: date) -> None:
        self.default = (today.replace(day=1), today)
        given = data if data and (data.get("first") or data.get("last")) else None
        start = dict(zip(("first", "last"), self.default, strict=True))
        super().__init__(given, initial=start)

    def clean(self) -> dict[str, Any]:
        """In order, and not longer than the table can bear."""
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("first"), cleaned.get("last")
        if first and last and last < first:
            raise forms.ValidationError("The period ends before it begins.")
        if first and last and (last - first).days > LONGEST_DAYS:
            raise forms.ValidationError("Look at a year or so at a time.")
        return cleaned

    def days(self) -> tuple[date, date]:
        """First and last day; this month so far when nothing else was asked."""
        if not self.is_bound or not self.is_valid():
            return self.default
        first = self.cleaned_data["first"] or self.default[0]
        last = self.cleaned_data["last"] or self.default[1]
        return (first, last) if first <= last else (first, first)

    @property
    def helper(self) -> Any:
        """A row of filters."""
        return filter_helper()
