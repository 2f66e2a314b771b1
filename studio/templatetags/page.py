"""What every page shares: the ways in, and how fields are set."""

from typing import Any, NamedTuple

from django import forms, template
from django.forms.boundfield import BoundField
from django.urls import NoReverseMatch, reverse

register = template.Library()

# In the order of the navigation: its word and the name of its address, which is left out while there is none.
SECTIONS = (
    ("Today", "today"),
    ("Shelf", "inventory:shelf"),
    ("Paints", "inventory:paints"),
    ("Buying", "inventory:buying"),
    ("Wheel", "inventory:wheel"),
    ("Palettes", "inventory:palettes"),
    ("Lessons", "inventory:lessons"),
    ("Safety", "safety:safety"),
    ("Import", "inventory:imports"),
)
# The sections of pages whose address begins with another word. Pages of an item belong to several and mark none.
BELONGS = {
    word: label
    for label, words in (
        ("Shelf", "tubes entries levels places stocktakes scan barcodes own labels filters edit-many stock"),
        ("Paints", "materials questions colours measurements lasting works light-tests"),
        ("Buying", "wants orders order-days suppliers offers substitutes"),
        ("Wheel", "mix seek layers strength evidence"),
        ("Lessons", "terms"),
        ("Import", "export"),
    )
    for word in words.split()
}


class Link(NamedTuple):
    label: str
    url: str
    current: str


@register.inclusion_tag("components/navigation.html", takes_context=True)
def navigation(context: dict[str, Any]) -> dict[str, list[Link]]:
    """The sections of the studio; the one that the page belongs to is marked."""
    request = context["request"]
    links = []
    for label, name in SECTIONS:
        try:
            url = reverse(name, args=[request.studio.slug])
        except NoReverseMatch:
            continue
        inside = "true" if name != "today" and request.path.startswith(url) else ""
        links.append(Link(label, url, "page" if request.path == url else inside))
    match = request.resolver_match
    if match and not any(link.current for link in links):
        first_word = match.route.split("/")[2]  # after s/<slug:studio>/
        section = "Safety" if match.namespace == "safety" else BELONGS.get(first_word)
        links = [link._replace(current="true") if link.label == section else link for link in links]
    return {"links": links}


@register.filter
def is_group(field: BoundField) -> bool:
    """Whether the field is several inputs under one legend."""
    return isinstance(field.field.widget, forms.RadioSelect | forms.CheckboxSelectMultiple)


@register.filter
def is_tick(field: BoundField) -> bool:
    return isinstance(field.field.widget, forms.CheckboxInput)
