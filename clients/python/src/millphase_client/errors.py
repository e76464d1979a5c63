"""What can go wrong, as types that a caller can tell apart."""

from __future__ import annotations

from .models import ProblemDetails


class MillphaseError(Exception):
    """Any failure of a call."""


class UnreachableError(MillphaseError):
    """The service could not be reached, or did not answer in time or in form."""


class ApiError(MillphaseError):
    """The service answered with a problem.

    Parameters
    ----------
    problem : ProblemDetails
        The RFC 9457 document, with every fault and its pointer.
    status : int
        HTTP status.
    request_id : str, optional
        What to quote when reporting a fault of the service.
    """

    def __init__(self, problem: ProblemDetails, status: int, request_id: str | None = None) -> None:
        self.problem = problem
        self.status = status
        self.request_id = request_id
        places = [f"{fault.pointer or fault.parameter or 'body'}: {fault.message}" for fault in problem.errors]
        super().__init__("; ".join(places) or problem.detail or problem.title)


class Refused(ApiError):
    """The request was refused before it was understood: 400, 405, 413, 415, 431."""


class NotAllowed(ApiError):
    """A token is missing or unknown: 401, 403."""


class NotFound(ApiError):
    """There is nothing at that address: 404."""


class Conflict(ApiError):
    """The request conflicts with what is stored: 409, 412, 428."""


class Invalid(ApiError):
    """The input has another form than the published one, or its readings contradict each other: 422."""

    @property
    def contradictory(self) -> bool:
        """Whether the form was right and the readings cannot be."""
        return self.problem.type.endswith("/contradictory-input")


class ServerError(ApiError):
    """The service failed: 5xx. Do not act on a missing answer."""


def error_for(problem: ProblemDetails, status: int, request_id: str | None) -> ApiError:
    """Return the error of the type that belongs to `status`."""
    kinds: dict[int, type[ApiError]] = {
        401: NotAllowed,
        403: NotAllowed,
        404: NotFound,
        409: Conflict,
        412: Conflict,
        422: Invalid,
        428: Conflict,
    }
    kind = ServerError if status >= 500 else kinds.get(status, Refused)
    return kind(problem, status, request_id)
