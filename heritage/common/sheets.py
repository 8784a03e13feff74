"""How a printed sheet leaves the site."""

from django.http import HttpResponse


def pdf_response(pdf: bytes, name: str) -> HttpResponse:
    """Answer with a sheet that opens in the reader's browser under a plain name.

    ``name`` is a word of ours, never something that somebody typed.
    """
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
