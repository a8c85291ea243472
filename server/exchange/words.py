"""What people write for the few words that a field can hold, in English and German."""

from server.exchange.headers import plain

CHOICES: dict[str, dict[str, tuple[str, ...]]] = {
    "method": {"espresso": (), "filter": ("filterkaffee", "brew", "pour over")},
    "purpose": {
        "service": ("verkauf", "ausschank", "bar"),
        "dial_in": ("dial in", "dial-in", "dialling in", "einstellen", "einstellung", "test"),
        "practice": ("training", "ubung", "uben"),
        "warm_up": ("warm up", "warm-up", "warmup", "aufwarmen"),
    },
    "fate": {
        "served": ("serviert", "ausgeschenkt", "sold"),
        "sunk": ("sink", "wasted", "weggeschuttet", "verworfen", "ausguss"),
    },
    "fault": {
        "channelling": ("channeling", "channel", "kanal", "kanalbildung"),
        "spill": ("spilt", "spilled", "verschuttet"),
        "wrong_dose": ("wrong dose", "falsche dosis"),
        "machine": ("maschine",),
        "interrupted": ("stopped", "unterbrochen", "abgebrochen"),
    },
    "yield_of": {"all": ("alle",), "one_spout": ("one spout", "ein auslauf")},
}
TASTES: dict[str, dict] = {
    "right": {"right": True},
    "sour": {"acidity": 1},
    "bitter": {"bitterness": 1},
    "thin": {"body": -1},
    "heavy": {"body": 1},
    "flat": {"acidity": -1},
}
TASTE_WORDS = {
    "right": ("ok", "good", "gut", "passt", "stimmt", "richtig"),
    "sour": ("acidic", "sauer"),
    "bitter": ("harsh",),
    "thin": ("weak", "watery", "dunn", "wassrig"),
    "heavy": ("thick", "schwer"),
    "flat": ("dull", "flach"),
}


def choice(field: str, cell: str) -> str:
    """Our word for theirs; theirs as it is where it isn't known, for the schema to refuse with the list of ours."""
    return _ours(CHOICES.get(field, {}), cell)


def taste(cell: str) -> dict | None:
    """What a word says of a taste; None if it isn't known."""
    return TASTES.get(_ours(TASTE_WORDS, cell))


def _ours(words: dict[str, tuple[str, ...]], cell: str) -> str:
    said = plain(cell)
    return next((ours for ours, theirs in words.items() if said in (plain(ours), *theirs)), cell.strip())
