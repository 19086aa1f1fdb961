"""Show a panel of the job page with its own context."""

from django import template
from django.template.context import Context

from jobs.panel_registry import Panel

register = template.Library()


@register.simple_tag(takes_context=True)
def show_panel(context: Context, panel: Panel) -> str:
    """Render the panel's template; it sees its context's names, and the page's."""
    engine = context.template.engine  # type: ignore[union-attr]
    with context.push(panel=panel, **panel.context):
        return str(engine.get_template(panel.template).render(context))
