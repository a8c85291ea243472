"""One way to refuse a word that isn't among those a computation knows."""

from collections.abc import Sequence

from server.compute.errors import BadInput


def one_of(field: str, word: str, words: Sequence[str]) -> str:
    """The word itself, if it is among those allowed; an error that lists them if it isn't.

    Parameters
    ----------
    field : str
        Name of the field that the word came in.
    word : str
        What was said.
    words : sequence of str
        What can be said.

    Returns
    -------
    str
        `word`, unchanged.

    Raises
    ------
    BadInput
        When `word` isn't among `words`.

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> one_of("method", "filter", ("espresso", "filter"))
    'filter'
    """
    if word not in words:
        raise BadInput(field, "must be one of: " + ", ".join(words))
    return word
