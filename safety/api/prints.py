"""Notices as pages, one by one and bound."""

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request

from safety.api.subjects import SafetyView
from safety.queries.books import bound
from safety.views.papers import as_pdf, file_name, print_kept
from studio.api.errors import Conflict
from studio.api.views import FileView
from studio.printing.paper import PAPERS, usual_paper

PDF = {(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The printed page.")}
PAPER = OpenApiParameter("paper", str, enum=list(PAPERS), description="What the studio's country writes on, if absent.")


class PdfView(SafetyView, FileView):
    parameters = ("paper",)

    def paper(self) -> str:
        name = self.request.query_params.get("paper", usual_paper(self.studio.jurisdiction))
        if name not in PAPERS:
            raise ValidationError({"paper": [f"“{name[:20]}” is none of {' and '.join(PAPERS)}."]})
        return name


class NoticePdf(PdfView):
    """A notice on paper, as it was made."""

    @extend_schema(operation_id="notice_pdf", parameters=[PAPER], responses=PDF)
    def get(self, request: Request, studio: str, pk: int) -> HttpResponse:
        paper, notice = self.paper(), self.notice(pk)
        return as_pdf(print_kept(notice, paper), file_name(notice))


class BookPdf(PdfView):
    """Every notice in stock that says what is known now, in one file; 409 while there is none."""

    @extend_schema(operation_id="notices_book", parameters=[PAPER], responses={**PDF, 409: OpenApiTypes.OBJECT})
    def get(self, request: Request, studio: str) -> HttpResponse:
        data = bound(self.studio, self.paper())
        if data is None:
            raise Conflict("There is no notice to bind yet: make them first.")
        return as_pdf(data, f"notices-{self.studio.slug}")
