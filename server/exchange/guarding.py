"""Keeps text that people typed from running as a formula in whoever's spreadsheet opens the file.

A cell of text that starts with one of these characters gets an apostrophe in front (the practice that OWASP's page
"CSV Injection" describes). One that starts with an apostrophe gets one as well, so that reading undoes it exactly.
"""

STARTS_FORMULA = "=+-@\t\r\n＝＋－＠"
APOSTROPHE = "'"


def guarded(text: str) -> str:
    """A text cell as it may be written.

    >>> guarded("=1+1"), guarded("two eggs"), guarded("'tis")
    ("'=1+1", 'two eggs', "''tis")
    """
    return APOSTROPHE + text if text[:1] and text[0] in STARTS_FORMULA + APOSTROPHE else text


def unguarded(cell: str) -> str:
    """A text cell as it was before `guarded`; any other is left as it is.

    >>> unguarded("'=1+1"), unguarded("''tis"), unguarded("'tis")
    ('=1+1', "'tis", "'tis")
    """
    marked = len(cell) > 1 and cell[0] == APOSTROPHE and cell[1] in STARTS_FORMULA + APOSTROPHE
    return cell[1:] if marked else cell
