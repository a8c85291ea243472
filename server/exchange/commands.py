"""The subcommands of `evenpull` that move data in and out."""


def add_commands(commands) -> None:
    """Add them to the parser."""
