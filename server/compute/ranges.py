"""One way to refuse a figure that lies outside what a computation can use."""

from server.compute.errors import BadInput


def within(field: str, value: float, low: float, high: float, unit: str) -> float:
    """The value itself, if it lies in its range; an error that names the field if it doesn't.

    Parameters
    ----------
    field : str
        Name of the figure as the person or program that sent it knows it.
    value : float
        The figure, any number. [any unit]
    low, high : float
        The least and the most that can be used, any numbers. [unit of `value`]
    unit : str
        Shown in the error; empty for a plain number.

    Returns
    -------
    float
        `value`, unchanged. [unit of `value`]

    Raises
    ------
    BadInput
        When `value` is below `low`, above `high`, or not a number.

    Notes
    -----
    Convention of this app. NaN fails every comparison, so it is refused as well.

    Examples
    --------
    >>> within("target_c", 55.0, 0.0, 100.0, "°C")
    55.0
    """
    if not low <= value <= high:
        raise BadInput(
            field, f"must be from {low:g} to {high:g} {unit}".rstrip() + f", not {value:g}: enter it again"
        )
    return value
