"""Paper: the round by bench, to tick in pencil; one page wide, black on white."""

from typing import Final
from xml.etree.ElementTree import Element, SubElement, tostring

from arbuscula.desk.today import BenchToday, Today, short_label
from arbuscula.kinds.round import Call
from arbuscula.kinds.said import Figure, Said
from arbuscula.reports.night import tonight_in_words
from arbuscula.reports.words import Voice, sentence

STYLE = """
@page { size: A4; margin: 14mm }
body { font: 11pt/1.35 Charter, Georgia, serif; color: #000;
  background: #fff; max-width: 46rem; margin: 1rem auto; padding: 0 1rem }
h1 { font-size: 15pt; margin: 0 } h2 { font-size: 13pt; margin: 14pt 0 2pt }
section { break-inside: avoid } p { margin: 3pt 0 }
ul { list-style: none; padding: 0; margin: 5pt 0; display: flex; flex-wrap: wrap }
li { box-sizing: border-box; width: 4.7em; margin: 0 .35em .35em 0;
  border: 1px solid #000; padding: 2pt 4pt; text-align: center }
li.water { border-width: 3px; font-weight: bold }
li.check { border-style: dashed; border-width: 2px }
li small { display: block; font-size: 8pt; font-weight: normal }
.line { border-bottom: 1px solid #000; height: 1.7em; margin-top: 6pt }
footer { margin-top: 16pt; font-size: 9pt }
"""


CLASSES: Final = {Call.WATER: "water", Call.CHECK: "check", Call.NOT_YET: "not"}


def round_on_paper(answer: Today, voice: Voice) -> str:
    """Return the round as a page that prints: ticked in pencil, typed back later."""
    page = Element("html", lang=voice.language)
    title = _said(voice, "today.round", yard=answer.yard, at=answer.rounds.in_hand)
    head = SubElement(page, "head")
    SubElement(head, "meta", charset="utf-8")
    SubElement(head, "title").text = title
    SubElement(head, "style").text = STYLE
    body = SubElement(page, "body")
    SubElement(body, "h1").text = title
    for said in answer.tonight.parts:
        SubElement(body, "p").text = sentence(said, voice)
    for line in tonight_in_words(answer, voice):
        SubElement(body, "p").text = line
    for bench in answer.benches:
        if bench.trees:
            _bench(body, bench, voice)
    footer = SubElement(body, "footer")
    SubElement(footer, "p").text = _said(voice, "paper.age", at=answer.at)
    SubElement(footer, "p").text = _said(voice, "paper.back")
    return "<!DOCTYPE html>\n" + tostring(page, encoding="unicode", method="html")


def _bench(body: Element, bench: BenchToday, voice: Voice) -> None:
    """Add one bench: its sentence, its pots as they stand, a line to write on."""
    section = SubElement(body, "section")
    SubElement(section, "h2").text = bench.name
    said = " ".join(sentence(part, voice) for part in bench.sentence.parts)
    SubElement(section, "p").text = said
    pots = SubElement(section, "ul")
    for tree in bench.trees:
        item = SubElement(pots, "li", {"class": CLASSES[tree.advice]})
        item.text = short_label(tree.place, tree.label)
        SubElement(item, "small").text = _said(voice, f"paper.{CLASSES[tree.advice]}")
    SubElement(section, "div", {"class": "line"})


def _said(voice: Voice, message_id: str, **figures: Figure) -> str:
    return sentence(Said(message_id, figures), voice)
