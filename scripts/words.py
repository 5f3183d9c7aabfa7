"""Say what each language lacks, and put its messages in the order of the English ones.

`python -m scripts.words` prints the messages without words; with `--order` it writes
the files anew, in order, leaving out what English no longer says.
"""

import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

from babel.messages.pofile import read_po

WORDS = Path(__file__).parents[1] / "src/arbuscula/reports/words"
HEAD = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n'


def main(*options: str) -> int:
    """Print what is missing; return 1 if anything is."""
    english, missing = words_of("en"), 0
    for path in sorted(WORDS.glob("*.po")):
        told = words_of(path.stem)
        for fault in faults(english, told):
            missing += 1
            print(f"{path.stem}: {fault}")
        if "--order" in options:
            path.write_text(in_order(english, told), encoding="utf-8")
    return 1 if missing else 0


def words_of(language: str) -> dict[str, str]:
    """Return the messages of a language."""
    with (WORDS / f"{language}.po").open("rb") as lines:
        return {str(m.id): str(m.string) for m in read_po(lines) if m.id}


def faults(english: Mapping[str, str], told: Mapping[str, str]) -> Iterator[str]:
    """Yield messages without words, of no use, or with other figures."""
    for message_id, words in english.items():
        if not told.get(message_id):
            yield f"{message_id} has no words: {words}"
        elif figures_of(told[message_id]) != figures_of(words):
            yield f"{message_id} has other figures: {told[message_id]}"
    yield from (f"{key} is said no more" for key in told if key not in english)


def figures_of(words: str) -> list[str]:
    """Return the names of a message's figures."""
    return sorted(re.findall(r"{(\w+)}", words))


def in_order(english: Mapping[str, str], told: Mapping[str, str]) -> str:
    """Return a file of messages, as English has them one after the other."""
    blocks = [
        f"\nmsgid {quoted(key)}\nmsgstr {quoted(told[key])}\n"
        for key in english
        if told.get(key)
    ]
    return HEAD + "".join(blocks)


def quoted(words: str) -> str:
    """Return words as they stand in a file."""
    escaped = words.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
