"""All text comes from static/words, complete in every language; nothing is hard-wired in the screens."""

import re
from pathlib import Path

import pytest

from server.records.kind import Scope
from server.records.kinds import KINDS

STATIC = Path(__file__).parents[2] / "static"
CODE = [STATIC / "app.js", *sorted((STATIC / "tap").glob("*.js")), *sorted((STATIC / "ui").glob("*.js"))]
LANGUAGES = ("en", "de")
PLURAL_FORMS = {"en": {"one", "other"}, "de": {"one", "other"}}  # Unicode CLDR, cardinal rules of each

LINE = re.compile(r"""^  '(?P<key>[^']+)': (?P<text>'[^']*'|"[^"]*"|\{ .* \}),$""")
FORM = re.compile(r"""(\w+): ('[^']*'|"[^"]*")""")
CALL = re.compile(r"""\bt\(\s*'([^']+)'""")
PATTERN = re.compile(r"""\b(?:t|tOr|has)\(\s*`([^`]+)`""")


def words_of(language: str) -> dict[str, dict[str, str]]:
    """Each key with its forms; a text without a count has just one, named ''."""
    found = {}
    for line in (STATIC / "words" / f"{language}.js").read_text().splitlines():
        if match := LINE.match(line):
            text = match["text"]
            forms = dict(FORM.findall(text)) if text.startswith("{") else {"": text}
            assert match["key"] not in found, f"{match['key']} stands twice in {language}.js"
            found[match["key"]] = {name: form[1:-1] for name, form in forms.items()}
        else:
            assert not line.startswith("  '"), f"{language}.js has a line that this test can't read: {line}"
    return found


WORDS = {language: words_of(language) for language in LANGUAGES}
SOURCE = "\n".join(path.read_text() for path in CODE)


def families() -> set[str]:
    """Keys that are put together at run time, as regular expressions: `end.${end}` is `end\\..+`."""
    found = set()
    for pattern in PATTERN.findall(SOURCE):
        parts = re.split(r"\$\{(?:[^{}]|\{[^{}]*\})*\}", pattern)
        if parts[0]:  # one that begins with a hole would fit every key
            found.add(".+".join(re.escape(part) for part in parts))
    return found


def holes(forms: dict[str, str]) -> set[str]:
    return set(re.findall(r"\{(\w+)\}", " ".join(forms.values())))


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_key_that_the_code_asks_for_is_in_every_language(language):
    asked = set(CALL.findall(SOURCE))
    assert len(asked) > 100, "the search for keys has gone blind"
    assert sorted(asked - WORDS[language].keys()) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_family_of_keys_has_members_in_every_language(language):
    found = families()
    assert len(found) > 20, "the search for families has gone blind"
    empty = [family for family in found if not any(re.fullmatch(family, key) for key in WORDS[language])]
    assert empty == []


def test_all_languages_have_the_same_keys():
    assert WORDS["en"].keys() == WORDS["de"].keys()


def test_a_text_has_the_same_holes_in_all_languages():
    assert [key for key in WORDS["en"] if holes(WORDS["en"][key]) != holes(WORDS["de"][key])] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_text_with_a_count_has_every_form_that_the_language_needs(language):
    counted = {key: set(forms) for key, forms in WORDS[language].items() if set(forms) != {""}}
    assert len(counted) > 10
    assert {key: forms for key, forms in counted.items() if forms != PLURAL_FORMS[language]} == {}


def test_no_text_is_left_over():
    # A key is asked for by itself, by the name of a field, or by its first part where the rest is put on at run time.
    named = set(re.findall(r"'([^'\n]+)'", SOURCE)) | set(re.findall(r"\b(\w+):", SOURCE))
    made = families()

    def used(key: str) -> bool:
        return key in named or key.rpartition(".")[0] in named or any(re.fullmatch(one, key) for one in made)

    assert [key for key in WORDS["en"] if not used(key)] == []


def test_no_german_text_was_left_in_english():
    def letters(forms: dict[str, str]) -> str:
        return re.sub(r"\{\w+\}|[^\w]", "", "".join(forms.values()))

    same = {
        key for key, forms in WORDS["de"].items() if forms == WORDS["en"][key] and len(letters(forms)) > 12
    }
    assert same == set(), "these read the same in both languages"


def test_every_field_of_a_record_has_a_word_for_its_history():
    fields = {name for kind in KINDS.values() if kind.scope != Scope.MANAGER for name in kind.fields}
    kinds = {kind.name for kind in KINDS.values() if kind.scope != Scope.MANAGER}
    assert sorted(f"field.{name}" for name in fields if f"field.{name}" not in WORDS["en"]) == []
    assert sorted(f"kind.one.{name}" for name in kinds if f"kind.one.{name}" not in WORDS["en"]) == []


def templates(source: str) -> list[str]:
    """The markup of every html`...` and svg`...`, each ${...} taken out; templates inside those come by themselves."""
    found = []
    for start in re.finditer(r"\b(?:html|svg)`", source):
        at, depth, markup = start.end(), 0, []
        while at < len(source):
            char = source[at]
            if depth == 0 and char == "`":
                break
            if source.startswith("${", at) and depth == 0:
                depth, at = 1, at + 2
                markup.append("\0")
                continue
            if depth:
                if char == "`":
                    at = end_of_template(source, at + 1)
                    continue
                depth += (char == "{") - (char == "}")
            else:
                markup.append(char)
            at += 1
        found.append("".join(markup))
    return found


def end_of_template(source: str, at: int) -> int:
    """Where a template literal that has just begun is over."""
    while source[at] != "`":
        if source.startswith("${", at):
            at, depth = at + 2, 1
            while depth:
                if source[at] == "`":
                    at = end_of_template(source, at + 1)
                    continue
                depth += (source[at] == "{") - (source[at] == "}")
                at += 1
        else:
            at += 1
    return at + 1


UNITS = {"kg", "MB", "Brix", "CaCO"}
READ_ALOUD = re.compile(r"""\s(?:aria-label|title|alt|placeholder|aria-description)="([^"]*)""")


def hard_wired(markup: str) -> list[str]:
    between_tags = re.sub(r"<[^>]*>", " ", markup)
    texts = [between_tags, *READ_ALOUD.findall(markup)]
    words = {word for text in texts for word in re.findall(r"[^\W\d_]{2,}", text)}
    return sorted(words - UNITS)


@pytest.mark.parametrize("path", CODE, ids=lambda path: path.name)
def test_a_screen_has_no_text_of_its_own(path):
    assert [words for markup in templates(path.read_text()) if (words := hard_wired(markup))] == []


def test_the_search_for_hard_wired_text_finds_it():
    assert [hard_wired(one) for one in templates("html`<p>Hello ${t('x')}</p>`")] == [["Hello"]]
    nested = 'html`<b ${a} aria-label="Close">${b.map((c) => html`<i>in</i>`)}</b>`'
    assert [hard_wired(one) for one in templates(nested)] == [["Close"], ["in"]]
    assert [hard_wired(one) for one in templates("html`<p class=${x}>${y} g</p>`")] == [[]]
