"""Every question by name. A new one: write its module with `QUESTIONS`, add its line here."""

from importlib import import_module

from server.ask.question import Question

MODULES = (
    "blend",
    "cartridge",
    "cold_chain",
    "cost",
    "difference",
    "drift",
    "extraction",
    "freshness",
    "grind",
    "milk",
    "minerals",
    "people",
    "time_to_target",
    "water",
)


def questions() -> dict[str, Question]:
    """All questions, by the name that `evenpull compute NAME` takes."""
    found = {}
    for module in MODULES:
        for question in import_module(f"server.ask.{module}").QUESTIONS:
            if question.name in found:
                raise RuntimeError(f"two questions are called {question.name}")
            found[question.name] = question
    return found
