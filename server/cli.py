"""The `evenpull` command. Each subcommand is a few lines: the work is done below."""

import argparse
import json
import sys

from server.ask.question import QuestionRefused

DEFAULT_PORT = 8017


def main(argv: list[str] | None = None) -> int:
    """Run one command; the exit status is 0 if it did what was asked, 2 for bad input."""
    arguments = _parser().parse_args(argv)
    return arguments.run(arguments)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="evenpull", description="A bar's shots, bags, water and milk, and what to move next."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for add in (_add_demo, _add_serve, _add_compute, _add_openapi):
        add(commands)
    from server.exchange import commands as exchange  # imported late: `compute` needs none of it

    exchange.add_commands(commands, _open_app)
    return parser


def _open_app():
    """The app on the store that the environment names, as a running server has it."""
    from server import create_app
    from server.settings import Settings

    settings = Settings.from_environment()
    settings.make_folder()
    return create_app(settings)


def command(commands, name: str, summary: str, example: str, run) -> argparse.ArgumentParser:
    """A subcommand whose --help ends with an example."""
    parser = commands.add_parser(
        name,
        help=summary,
        description=summary,
        epilog=f"example: {example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    return parser


def _add_address(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (%(default)s)")
    parser.add_argument(
        "--port", type=int, default=DEFAULT_PORT, help="port to listen on; 0 takes a free one (%(default)s)"
    )


def _add_demo(commands) -> None:
    parser = command(
        commands, "demo", "start a fresh demo bar in a temporary store", "evenpull demo --port 8080", _demo
    )
    _add_address(parser)


def _demo(arguments) -> int:
    from server.serving import serve_demo

    return serve_demo(arguments.host, arguments.port)


def _add_serve(commands) -> None:
    parser = command(commands, "serve", "start the real thing", "evenpull serve --host 0.0.0.0 --port 8017", _serve)
    _add_address(parser)


def _serve(arguments) -> int:
    from server.serving import serve

    return serve(arguments.host, arguments.port)


def _add_compute(commands) -> None:
    example = """echo '{"dose_g": 18, "yield_g": 36, "strength_pct": 9.5}' | evenpull compute extraction"""
    parser = command(commands, "compute", "one JSON object in, one out: the server's own functions", example, _compute)
    parser.add_argument("name", metavar="NAME", help="which computation, such as extraction, freshness, water, milk")


def _compute(arguments) -> int:
    from server.ask.registry import questions

    question = questions().get(arguments.name)
    if question is None:
        return _refuse({"name": [f"is none of: {', '.join(sorted(questions()))}"]})
    try:
        body = json.load(sys.stdin)
    except (ValueError, RecursionError) as wrong:
        return _refuse({"body": [f"is not valid JSON: {wrong}"]})
    try:
        print(json.dumps(question.ask(body), ensure_ascii=False))
    except QuestionRefused as refused:
        return _refuse(refused.errors)
    return 0


def _refuse(errors: dict) -> int:
    print(json.dumps({"errors": errors}, ensure_ascii=False))
    return 2


def _add_openapi(commands) -> None:
    command(commands, "openapi", "print the OpenAPI 3.1 document", "evenpull openapi > openapi.json", _openapi)


def _openapi(arguments) -> int:
    from server.web.openapi import document

    print(json.dumps(document(), indent=2, ensure_ascii=False))
    return 0
