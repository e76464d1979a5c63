"""The terminal board as connection-choice answers it; for a motor that gets no links, the answer's sentence instead."""

from __future__ import annotations

import textwrap
from typing import Any

from millphase.answer import Answer
from millphase.questions import connection_choice
from millphase.questions._connection_links import find, marking_of
from millphase.questions._connection_plate import lead_group
from millphase.questions.base import View
from millphase.reports import svg
from millphase.reports.drawings import _winding_sketch as sketch
from millphase.reports.drawings import terminal_board


def draw(request: dict[str, Any], book: View) -> str:
    """Draw the board of one request to connection-choice.

    Parameters
    ----------
    request : dict
        The checked request.
    book : View
        Rules, as the question itself uses them.
    """
    answer = connection_choice.answer(request, book)
    group, connection = lead_group(request), str(answer.values.get("connection", ""))
    marking = marking_of(book, request.get("marking"), group)
    found = find(book, marking, group, connection) if "links" in answer.values else None
    if found is None:
        return _refused(answer)
    return terminal_board.board(group, connection, found, sketch.parts(book, marking, group))


def _refused(answer: Answer) -> str:
    """A sheet that says why there is nothing to link."""
    title = "No links to fit"
    body = svg.text(390.0, 60.0, title, text_anchor="middle", font_size=17, font_weight="bold")
    for index, line in enumerate(textwrap.wrap(answer.summary, 88)):
        body += svg.text(390.0, 110.0 + 24.0 * index, line, text_anchor="middle", font_size=15)
    return svg.document(780.0, 430.0, title, answer.summary, body)
