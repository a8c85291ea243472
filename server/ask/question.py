"""What a question is: a name, a schema for what comes in, a schema for what goes out, and the answer."""

from collections.abc import Callable
from dataclasses import dataclass

from marshmallow import RAISE, Schema, ValidationError

from server.compute.errors import BadInput
from server.fields import flat


class RequestSchema(Schema):
    """Refuses, by name, any field that the question doesn't know."""

    class Meta:
        unknown = RAISE


@dataclass(frozen=True)
class Question:
    """One computation that can be asked for by name, in JSON."""

    name: str
    summary: str
    request: type[RequestSchema]
    response: type[Schema]
    answer: Callable[[dict], dict]

    def ask(self, body: object) -> dict:
        """Answer `body`, a JSON object as it arrived.

        Raises BadInput-shaped errors only: `QuestionRefused` with `errors: {field: [text]}`.
        """
        if not isinstance(body, dict):
            raise QuestionRefused({"body": ["must be one JSON object: send {...}"]})
        try:
            return self.response().dump(self.answer(self.request().load(body)))
        except ValidationError as refused:
            raise QuestionRefused(flat(refused.normalized_messages())) from refused
        except BadInput as refused:
            raise QuestionRefused(refused.errors) from refused


class QuestionRefused(ValueError):
    """The request can't be answered; `errors` says which field and what to do."""

    def __init__(self, errors: dict):
        super().__init__(str(errors))
        self.errors = errors
