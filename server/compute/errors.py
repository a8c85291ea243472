"""The one way in which a computation says that it can't use what it was given."""


class BadInput(ValueError):
    """A value outside what a computation can use.

    Carries the field's name and a sentence with the remedy, so that every door (command line,
    HTTP, a phone's entry) can show the same words beside the right field.

    >>> BadInput("dose_g", "must be above 0 g: weigh the dry dose again").errors
    {'dose_g': ['must be above 0 g: weigh the dry dose again']}
    """

    def __init__(self, field: str, text: str):
        super().__init__(f"{field}: {text}")
        self.field = field
        self.errors = {field: [text]}
