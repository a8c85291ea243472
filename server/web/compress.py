"""Answers in gzip where the asker takes it and it is worth the work: phones pay by the byte."""

import gzip

from flask import Response, request

WORTH_IT_BYTES = 1024
TYPES = ("application/json", "application/problem+json", "text/", "image/svg+xml", "application/manifest+json")


def compress(answer: Response) -> Response:
    answer.headers.add("Vary", "Accept-Encoding")
    if "gzip" not in request.headers.get("Accept-Encoding", "").lower() or answer.status_code != 200:
        return answer
    if (answer.is_streamed and not answer.direct_passthrough) or "Content-Encoding" in answer.headers:
        return answer
    if not (answer.mimetype or "").startswith(TYPES):
        return answer
    answer.direct_passthrough = False
    data = answer.get_data()
    if len(data) >= WORTH_IT_BYTES:
        answer.set_data(gzip.compress(data, compresslevel=5, mtime=0))
        answer.headers["Content-Encoding"] = "gzip"
    return answer
