"""The desk's text, as the phone's: complete in every language, none left over, none hard-wired."""

import re

import pytest

from tests.browser.test_words import (
    CALL,
    LANGUAGES,
    PATTERN,
    PLURAL_FORMS,
    STATIC,
    WORDS,
    hard_wired,
    holes,
    templates,
    words_of,
)

CODE = sorted((STATIC / "dashboard").rglob("*.js"))
CODE = [path for path in CODE if path.parent.name != "words"]
SOURCE = "\n".join(path.read_text() for path in CODE)
OWN = {language: words_of(f"../dashboard/words/{language}") for language in LANGUAGES}
DESK = {language: {**WORDS[language], **OWN[language]} for language in LANGUAGES}


def families() -> set[str]:
    """Keys that are put together at run time, as regular expressions."""
    return {".+".join(map(re.escape, re.split(r"\$\{[^}]*\}", pattern))) for pattern in PATTERN.findall(SOURCE)}


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_key_that_the_desk_asks_for_is_in_every_language(language):
    asked = set(CALL.findall(SOURCE))
    assert len(asked) > 80, "the search for keys has gone blind"
    assert sorted(asked - DESK[language].keys()) == []
    assert [family for family in families() if not any(re.fullmatch(family, key) for key in DESK[language])] == []


def test_all_languages_have_the_same_keys_holes_and_forms():
    assert OWN["en"].keys() == OWN["de"].keys()
    assert [key for key in OWN["en"] if holes(OWN["en"][key]) != holes(OWN["de"][key])] == []
    for language in LANGUAGES:
        counted = {key: set(forms) for key, forms in OWN[language].items() if set(forms) != {""}}
        assert {key: forms for key, forms in counted.items() if forms != PLURAL_FORMS[language]} == {}


def test_no_text_is_left_over_or_said_twice():
    named = set(re.findall(r"'([^'\n]+)'", SOURCE))
    made = families()

    assert [key for key in OWN["en"] if key not in named and not any(re.fullmatch(one, key) for one in made)] == []
    assert [key for key in OWN["en"] if OWN["en"][key] == WORDS["en"].get(key)] == []


@pytest.mark.parametrize("path", CODE, ids=lambda path: path.name)
def test_the_desk_has_no_text_of_its_own(path):
    assert [words for markup in templates(path.read_text()) if (words := hard_wired(markup))] == []
