"""Errors of a field within a field are named with a dot between: `hardness.unit`."""


def top(errors: dict) -> set[str]:
    """The fields of the request that the errors lie in."""
    return {name.split(".")[0] for name in errors}
