"""Put a chart on the page, with the table of its values behind it."""

from django import template

register = template.Library()


@register.inclusion_tag("assessments/charts/_chart.html")
def chart(chart):
    """Show a ``Chart``; nothing for None."""
    return {"chart": chart}
