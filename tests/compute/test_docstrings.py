"""Every public function in server/compute says its units, its range, its errors and its source.

The rule, for each function at the top level of a module whose name has no leading underscore
(classes and dataclasses: one line is enough, and their methods too):

1. a docstring, opening with one sentence;
2. `Parameters` (if there are any), naming each of them; one whose annotation speaks of float or int
   carries its unit in square brackets, `[g]`, `[%]`, `[-]`;
3. `Returns`, with a unit in square brackets if the annotation speaks of float or int;
4. `Raises`, naming an error and when it comes, or the one word `Nothing`;
5. `Notes`, with where the formula comes from: the word "source", "definition", "identity", "common practice"
   or "convention of this app";
6. a range: every numeric parameter says one ("> 0", "0 to 100", "at least 1", "any"), or Notes says
   "Valid range".

The files are read, not imported, so a module that is broken fails here by its own name only.
"""

import ast
import re
from itertools import pairwise
from pathlib import Path

import pytest

COMPUTE = Path(__file__).parents[2] / "server" / "compute"
HEADINGS = (
    "Parameters",
    "Returns",
    "Raises",
    "Notes",
    "Examples",
    "Yields",
    "See Also",
    "References",
    "Warns",
)
NUMERIC = re.compile(r"\b(float|int)\b")
UNIT = re.compile(r"\[[^\]\n]+\]")
ORIGIN = re.compile(r"source|definition|identity|common practice|convention of this app", re.IGNORECASE)
RANGE = re.compile(
    r"[<>≤≥]|\d\s*(\.\.|to|and)\s*-?\d|\b(at least|at most|above|below|positive|any)\b", re.IGNORECASE
)


def public_functions():
    for path in sorted(COMPUTE.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8"), str(path)).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield f"{path.relative_to(COMPUTE).with_suffix('')}.{node.name}", node


def sections(text):
    """The docstring cut at its underlined headings; what comes before the first one is under ''."""
    found, heading, lines = {"": []}, "", text.splitlines()
    for line, following in pairwise([*lines, ""]):
        if line.strip() in HEADINGS and set(following.strip()) == {"-"}:
            heading = line.strip()
            found[heading] = []
        elif set(line.strip()) != {"-"}:
            found[heading].append(line)
    return {name: "\n".join(body).strip() for name, body in found.items()}


def described(text):
    """The indented lines of a section: what is said, without the line of names and types above it."""
    return " ".join(line.strip() for line in text.splitlines() if line.startswith(" "))


def parameters_told(text):
    """Each parameter of a Parameters section with what is said of it; `a, b : float` tells of both."""
    told = {}
    for entry in re.split(r"^(?=\S)", text, flags=re.MULTILINE):
        names, colon, _ = entry.partition(":")
        if colon:
            told |= {name.strip().lstrip("*"): described(entry) for name in names.split(",")}
    return told


def parameters(function):
    args = function.args
    extra = [arg for arg in (args.vararg, args.kwarg) if arg]
    return [
        (arg.arg, ast.unparse(arg.annotation) if arg.annotation else "")
        for arg in [*args.posonlyargs, *args.args, *args.kwonlyargs, *extra]
    ]


def missing_of_a_parameter(name, annotation, told, notes):
    if name not in told:
        return [f"parameter {name}"]
    if not NUMERIC.search(annotation):
        return []
    missing = [] if UNIT.search(told[name]) else [f"the unit of {name} in [ ]"]
    if not RANGE.search(told[name]) and "valid range" not in notes.lower():
        missing.append(f"the range of {name} (or 'Valid range' in Notes)")
    return missing


def missing_of_the_result(annotation, told):
    if annotation == "None":
        return []
    if not told:
        return ["Returns"]
    return (
        ["the unit of what it returns in [ ]"]
        if NUMERIC.search(annotation) and not UNIT.search(described(told))
        else []
    )


def what_is_missing(function):
    """The shortcomings of one function's docstring, in words; an empty list when there are none."""
    said = sections(ast.get_docstring(function) or "")
    notes, told = said.get("Notes", ""), parameters_told(said.get("Parameters", ""))
    missing = [] if said[""] else ["an opening sentence"]
    for name, annotation in parameters(function):
        missing += missing_of_a_parameter(name, annotation, told, notes)
    returns = ast.unparse(function.returns) if function.returns else ""
    missing += missing_of_the_result(returns, said.get("Returns") or said.get("Yields", ""))
    if not said.get("Raises"):
        missing.append("Raises (or the word Nothing under it)")
    if not ORIGIN.search(notes):
        missing.append("Notes with the source, or 'convention of this app'")
    return missing


@pytest.mark.parametrize(
    ("name", "function"), list(public_functions()), ids=lambda value: value if isinstance(value, str) else ""
)
def test_a_public_computation_says_units_range_errors_and_source(name, function):
    assert what_is_missing(function) == [], f"{name}: see the rule at the top of {__file__}"


GOOD = '''
def ratio(yield_g: float, dose_g: float) -> float:
    """Mass in the cup per mass of dry dose.

    Parameters
    ----------
    yield_g : float
        Mass in the cup, at least 0. [g]
    dose_g : float
        Dry mass in the basket, > 0. [g]

    Returns
    -------
    float
        Written 1 : x. [-]

    Raises
    ------
    BadInput
        When a mass is outside its range.

    Notes
    -----
    Definition, so exact.
    """
'''


def test_no_docstring_at_all_is_every_shortcoming_at_once():
    bare = "def ratio(yield_g: float) -> float:\n    return yield_g\n"
    assert len(shortcomings(bare)) == 5


def shortcomings(source):
    return what_is_missing(ast.parse(source).body[0])


def test_a_complete_docstring_passes():
    assert shortcomings(GOOD) == []


@pytest.mark.parametrize(
    ("cut", "put", "named"),
    [
        ("Mass in the cup, at least 0. [g]", "Mass in the cup, at least 0.", "the unit of yield_g"),
        ("Dry mass in the basket, > 0. [g]", "Dry mass in the basket. [g]", "the range of dose_g"),
        ("yield_g : float", "beverage_g : float", "parameter yield_g"),
        ("Written 1 : x. [-]", "Written 1 : x.", "the unit of what it returns"),
        ("BadInput\n        When a mass is outside its range.", "", "Raises"),
        ("Definition, so exact.", "Exact.", "Notes with the source"),
        ("Raises\n    ------", "Warns\n    ------", "Raises"),
        ("Returns\n    -------", "Examples\n    -------", "Returns"),
        ("Mass in the cup per mass of dry dose.", "", "an opening sentence"),
    ],
)
def test_each_thing_left_out_is_named(cut, put, named):
    assert cut in GOOD
    assert named in "; ".join(shortcomings(GOOD.replace(cut, put)))
