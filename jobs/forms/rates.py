"""Hours of the tasks of a job, and a decision about one rate."""

from collections.abc import Sequence
from typing import Any

from django import forms

from jobs.forms.fields import FigureField, PlainForm, panel_helper
from jobs.queries.rates import HoursRow


class HoursForm(PlainForm):
    """One field a task that is done."""

    def __init__(self, *args: Any, rows: Sequence[HoursRow], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for row in rows:
            took = row.task.actual_minutes
            self.fields[f"task_{row.task.pk}"] = FigureField(
                label=row.task.name,
                required=False,
                min_value=0,
                initial=round(took / 60, 2) if took else None,
                help_text=f"The rate says {row.estimated_minutes / 60:.1f} hours.",
            )
        self.helper = panel_helper(save="Save the hours")
        if not rows:
            self.helper.inputs.clear()

    def minutes(self) -> dict[int, int | None]:
        """Minutes typed by task id; None where nothing is typed."""
        return {
            int(name.removeprefix("task_")): None
            if hours is None
            else round(hours * 60)
            for name, hours in self.cleaned_data.items()
        }


class RateForm(forms.Form):
    """What the office saw, and whether it takes it."""

    kind = forms.CharField(max_length=60)
    proposed = forms.FloatField()
    accept = forms.BooleanField(required=False)
