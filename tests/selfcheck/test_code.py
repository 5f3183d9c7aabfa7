import ast
import inspect
import re
import subprocess
import sys

import pytest
from babel.messages.pofile import read_po

from arbuscula.cli.commands import cli
from arbuscula.kinds.values import Grade
from scripts import words
from tests.selfcheck.house import ROOT, SRC, TREES, nodes, science

MADE = (
    r"(never|aftercare|caution|toxicity|keep|head)\.\w+|word\.[a-z]+\..+|"
    r"(drydown\.(due|late|head)|pot\.head|score\.head|paper\.(water|check|not)"
    r"|web\.(state|now)_(water|check|not)|web\.(enough|perhaps|dry)"
    r"|web\.(north|east|south|west|round|benches|year))"
)
PUBLISHED_N, RECALLED_N = 100, 20  # may only grow; recalled are among the published
WITHOUT_CALLER = {
    "event_from_line",  # one line alone, for whoever reads an export
    "line_from_event",
}
WORDS = sorted((SRC / "reports/words").glob("*.po"))


def run(*command):
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    return done.stdout


def test_every_public_function_has_a_caller():
    called = {n.id for n in nodes(ast.Name)} | {n.attr for n in nodes(ast.Attribute)}
    called |= {*re.findall(r":(\w+)\"", (ROOT / "pyproject.toml").read_text())}
    called |= names_in("scripts") | names_in("bench")
    by_the_book = names_in("tests/published") | names_in("tests/science")
    idle = [
        f"{path.name}: {f.name}"
        for path, tree in TREES.items()
        for f in tree.body
        if isinstance(f, ast.FunctionDef) and not f.name.startswith("_")
        if f.name not in called | WITHOUT_CALLER and not f.decorator_list
        if not (f.name in by_the_book and path.parent.name in ("science", "arbuscula"))
    ]
    assert idle == []


def names_in(folder):
    """Return every name that the modules of a folder use."""
    trees = [ast.parse(path.read_text()) for path in (ROOT / folder).rglob("*.py")]
    found = [node for tree in trees for node in ast.walk(tree)]
    names = {node.id for node in found if isinstance(node, ast.Name)}
    return names | {node.attr for node in found if isinstance(node, ast.Attribute)}


@pytest.mark.parametrize("function", science(), ids=lambda f: f.__qualname__)
def test_every_function_of_science_says_what_it_holds_for(function):
    said = inspect.getdoc(function)
    assert said.startswith("Return ")
    for word in ("Errors:", "Holds for:", "Source:"):
        assert word in said


@pytest.mark.parametrize("command", cli.commands.values(), ids=lambda c: c.name)
def test_every_command_is_documented(command):
    assert command.help
    assert command.epilog.startswith(f"Example: arbuscula {command.name}")


@pytest.mark.parametrize("page", ["cli.md", "nomenclature.md"])
def test_generated_pages_are_fresh(page):
    made = run(sys.executable, "scripts/pages.py", page)
    assert (ROOT / "docs" / page).read_text() == made


@pytest.mark.slow
def test_every_test_file_is_collected_and_no_check_is_lost():
    def collected(*marks):
        return run(sys.executable, "-m", "pytest", "--collect-only", "-q", *marks)

    files = [str(p.relative_to(ROOT)) for p in (ROOT / "tests").rglob("test_*.py")]
    said = collected()
    assert [name for name in files if f"{name}::" not in said] == []
    assert collected("-m", "published").count("::") >= PUBLISHED_N
    assert collected("-m", "recalled").count("::") >= RECALLED_N


def said_in_code():
    """Yield each message and the names of its figures, where they stand in one call."""
    for call in nodes(ast.Call):
        if getattr(call.func, "id", "") == "Said" and call.args:
            message = call.args[0]
            if isinstance(message, ast.Constant):
                yield message.value, call.args[1] if len(call.args) > 1 else None


def messages_in_code():
    """Return every dotted word of the code that may be a message."""
    words = {n.value for n in nodes(ast.Constant) if isinstance(n.value, str)}
    for path in (SRC / "web/templates").glob("*.html"):
        words |= {*re.findall(r"""["']([a-z]+\.[a-z_]+)["']""", path.read_text())}
    return {w for w in words if re.fullmatch(r"[a-z]+\.[a-z_]+", w)}


def test_every_word_of_a_template_has_words():
    with (SRC / "reports/words/en.po").open("rb") as lines:
        words = {m.id for m in read_po(lines) if m.id}
    for path in (SRC / "web/templates").glob("*.html"):
        said = {*re.findall(r"""say\(["']([a-z.]+[a-z_]+)["'][,)]""", path.read_text())}
        assert said - words == set(), path.name


@pytest.mark.parametrize("path", WORDS, ids=lambda path: path.stem)
def test_every_message_has_words_for_all_its_figures(path):
    with path.open("rb") as lines:
        words = {m.id: m.string for m in read_po(lines) if m.id}
    said = dict(said_in_code())
    assert said.keys() - words.keys() == set()
    for message_id, figures in said.items():
        if isinstance(figures, ast.Dict) and all(figures.keys):
            names = {key.value for key in figures.keys}
            assert {*re.findall(r"{(\w+)}", words[message_id])} <= names, message_id


@pytest.mark.parametrize("path", WORDS, ids=lambda path: path.stem)
def test_words_stand_below_their_message_and_each_message_once(path):
    blocks = re.split(r"\n{2,}", path.read_text(encoding="utf-8").strip())
    heads = [re.match(r'msgid "(.*)"\nmsgstr ".*"\Z', block) for block in blocks]
    assert [b for b, head in zip(blocks, heads, strict=True) if head is None] == []
    ids = [head[1] for head in heads]
    assert len(ids) == len({*ids})


@pytest.mark.parametrize("path", WORDS, ids=lambda path: path.stem)
def test_every_language_says_all_that_english_says_and_in_its_order(path):
    """`python -m scripts.words` tells what is missing, `--order` puts in order."""
    english, told = words.words_of("en"), words.words_of(path.stem)
    assert list(words.faults(english, told)) == []
    assert words.in_order(english, told) == path.read_text(encoding="utf-8")


def test_no_words_without_a_message():
    with (SRC / "reports/words/en.po").open("rb") as lines:
        words = {m.id for m in read_po(lines) if m.id}
    grades = {f"grade.{grade}" for grade in Grade}
    made = {w for w in words if re.match(MADE, w)}
    assert words - messages_in_code() - grades - made == set()
