"""Paper sizes, and a PDF as an answer."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header
from django.utils.text import slugify

from safety.models import Notice
from studio.models import Studio

# Where letters are written on Letter paper; everybody else has A4 (ISO 216).
_LETTER = ("us", "usa", "united states", "canada")


def paper_of(studio: Studio) -> str:
    """The paper of the studio's country: "Letter" or "A4"."""
    words = studio.jurisdiction.casefold().replace("(", " ").split()
    return "Letter" if words and (words[0] in _LETTER or words[:2] == ["united", "states"]) else "A4"


def file_name(notice: Notice) -> str:
    """Latin letters and digits only, so that every system can keep the file."""
    return f"{slugify(notice.item.name)[:60] or 'notice'}-{notice.fingerprint}"


def as_pdf(data: bytes, name: str) -> HttpResponse:
    """Shown in the browser, and kept by nobody in between."""
    response = HttpResponse(data, content_type="application/pdf")
    response["Content-Disposition"] = content_disposition_header(False, f"{name}.pdf") or "inline"
    response["Cache-Control"] = "no-store"
    return response
