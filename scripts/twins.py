"""Twins: whether every figure that stands on a page stands in its twin as well.

A figure of a page is a run of digits, as a reader sees it. A twin tells it as a number,
which a page may round or say as percent; within a word or a sentence; as a moment of
which a page shows the day or the hour; or as how many there are of something. What
stands on a pot is looked for in what the twin tells of that pot alone.
"""

import re
from collections.abc import Iterator, Mapping
from datetime import datetime, time
from typing import Final, TypeAlias

Json: TypeAlias = "bool | int | float | str | list[Json] | dict[str, Json] | None"
RUN: Final = re.compile(r"(?<!UTF-)\d+(?:[.,:]\d+)*")  # an encoding is no figure
FOLDED_AFTER_N: Final = 12  # of a life; the page says how many more there are
DIGITS_N: Final = range(4)
READ: Final = """html => {
  const page = new DOMParser().parseFromString(html, "text/html");
  const drop = "head, script, style, nav, #bar, #words, [hidden]";
  for (const node of page.querySelectorAll(drop)) node.remove();
  for (const kept of page.querySelectorAll("template")) kept.replaceWith(kept.content);
  const words = (node) => {
    const parts = [];
    const walk = page.createTreeWalker(node, 5);
    for (let at = walk.currentNode; at; at = walk.nextNode())
      parts.push(at.nodeType === 3 ? at.data : `${at.getAttribute("alt") ?? ""} `);
    return parts.join(" ");
  };
  const pots = Array.from(page.querySelectorAll("li:has([data-label])"), (pot) => {
    const told = [pot.querySelector("[data-label]").dataset.label, words(pot)];
    pot.remove();
    return told;
  });
  return { pots, rest: words(page.body) };
}"""


def unlike(read: Mapping[str, object], twin: Json) -> list[str]:
    """Return every figure of a page, read by `READ`, that its twin does not tell."""
    everywhere = told_by(twin)
    odd = [run for run in RUN.findall(str(read["rest"])) if run not in everywhere]
    by_label = of_labels(twin)
    pots = read["pots"]
    for label, words in pots if isinstance(pots, list) else []:
        here = told_by([label, *by_label.get(label, [])])
        odd += [f"{label}: {run}" for run in RUN.findall(words) if run not in here]
    return odd


def of_labels(twin: Json) -> dict[str, list[Json]]:
    """Return all that a twin tells of each label, by name too where it has one."""
    found: dict[str, list[Json]] = {}
    names: dict[str, str] = {}
    for one in parts_of(twin):
        if isinstance(one, dict) and isinstance(label := one.get("label"), str):
            found.setdefault(label, []).append(one)
            names[str(one.get("tree", label))] = label
    for one in parts_of(twin):
        if isinstance(one, dict) and "label" not in one and one.get("tree") in names:
            found[names[str(one["tree"])]].append(one)
    return found


def parts_of(twin: Json) -> Iterator[Json]:
    """Yield a twin and all that it is made of."""
    yield twin
    if isinstance(twin, dict | list):
        for part in twin.values() if isinstance(twin, dict) else twin:
            yield from parts_of(part)


def told_by(twin: Json) -> set[str]:
    """Return every run of digits by which a page may tell what a twin tells."""
    return {run for part in parts_of(twin) for run in _runs(part)}


def _runs(part: Json) -> Iterator[str]:
    match part:
        case bool() | None:
            return
        case int() | float():
            yield from _of_number(abs(part))
        case str():
            yield from _of_words(part)
        case list():
            yield f"{len(part)}"
            yield f"{len(part) - FOLDED_AFTER_N}"
        case dict():
            for key in part:  # a map by label or by month
                yield from RUN.findall(key)


def _of_number(number: float) -> Iterator[str]:
    for digits_n in DIGITS_N:
        for shown in (number, number * 100):
            whole, point, rest = f"{shown:,.{digits_n}f}".partition(".")
            yield f"{whole}{point}{rest.rstrip('0')}".rstrip(".")
            yield f"{whole}{point}{rest}"
    yield from RUN.findall(f"{number:.3g}")


def _of_words(words: str) -> Iterator[str]:
    yield from RUN.findall(words)
    try:
        moment = datetime.fromisoformat(words)
    except ValueError:
        pass
    else:
        yield from (f"{moment.day}", f"{moment.year}", f"{moment:%H:%M}")
    try:
        hour = time.fromisoformat(words)
    except ValueError:
        return
    yield f"{hour:%H:%M}"
