"""The signs of the GHS on a page: the same drawings as in print."""

from django import template

from safety.printing.pictograms import alt_text

register = template.Library()


@register.inclusion_tag("safety/signs.html")
def signs(codes: tuple[str, ...]) -> dict[str, list[dict[str, str]]]:
    """The signs side by side, each with its meaning in words."""
    drawn = []
    for code in codes:
        words = alt_text(code)
        drawn.append({"file": f"signs/{code.lower()}.svg", "words": words, "meaning": words.split(": ")[1]})
    return {"signs": drawn}
