"""The page that says how far a printing is, and the printing itself."""

from django.http import HttpResponse
from django.shortcuts import redirect, render

from heritage.common import clock
from heritage.common.sheets import pdf_response
from heritage.people.request import Request
from heritage.printing import services
from heritage.printing.services import Order

# What failed is tried again by a press.
READ_OR_AGAIN = ["GET", "HEAD", "POST"]


def answer(request: Request, order: Order) -> HttpResponse:
    """Answer with what was printed or, until it is, with how far it is.

    A page that asks for itself again is told, not given the file: its reader opens it.
    """
    if request.method == "POST":
        services.let_it_be_tried_again(order=order)
        return redirect(request.get_full_path())
    printing = services.printed(order=order, now=clock.now())
    if printing.is_made and not request.htmx:
        pdf = services.read(printing=printing)
        if pdf is not None:
            return pdf_response(pdf, order.name)
    context = {"printing": printing, "title": order.title}
    return render(request, "printing/printing.html", context)
