"""Words that people write where they have nothing to write: not known, none, as above. Pure.

They are three answers, and none of them is a letter, a serial, a number, a maker, a place or a name. Some words are
doubtful: "s.o." means "see above" in German and "does not apply" in French. Common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from typing import Literal

from inventory.errors import Refused
from inventory.store.words.text import clean, short_enough

__all__ = ["Nothing", "is_no_name", "name_given", "nothing_in", "refuse_as_above", "set_aside", "what_is_meant"]

#: `doubtful`: one of the others, but which is not known. `an answer`: yes, no or "missing", where a letter was asked.
Nothing = Literal["not known", "not legible", "none", "as above", "doubtful", "an answer"]

_WORDS: dict[Nothing, Mapping[str, tuple[str, ...]]] = {
    "not known": {
        "en": (
            *("unknown", "not known", "n/k", "n.k.", "don't know", "tbc", "t.b.c.", "not stated", "unk", "unkn"),
            *("none visible", "not visible"),
        ),
        "de": (
            "unbekannt",
            "nicht bekannt",
            "k.a.",
            "keine angabe",
            "keine angaben",
            "weiss nicht",
            "unbek.",
            "o.a.",
            "ohne angabe",
            "nicht sichtbar",
        ),
        "fr": (
            "inconnu",
            "inconnue",
            "non connu",
            "non connue",
            "n/d",
            "n.d.",
            "non déterminé",
            "non précisé",
            "je ne sais pas",
            "non visible",
        ),
        "it": (
            "sconosciuto",
            "sconosciuta",
            "non noto",
            "non nota",
            "ignoto",
            "ignota",
            "non so",
            "non disponibile",
            "boh",
            "non visibile",
        ),
        "es": ("desconocido", "desconocida", "no conocido", "no se sabe", "no sé", "sin datos"),
        "nl": ("onbekend", "niet bekend", "weet niet", "geen idee"),
    },
    "not legible": {
        "en": ("not legible", "illegible", "unreadable", "not readable"),
        "de": ("unleserlich", "nicht lesbar"),
        "fr": ("illisible",),
        "it": ("illeggibile", "non leggibile"),
        "es": ("ilegible", "no legible", "no se lee"),
        "nl": ("onleesbaar", "niet leesbaar"),
    },
    "none": {
        "en": ("none", "nil", "without", "not applicable", "not fitted", "nothing", "no number", "no serial"),
        "de": ("ohne", "keine", "keiner", "keines", "kein", "keinen", "nicht vorhanden", "entfällt"),
        "fr": ("néant", "neant", "aucun", "aucune", "sans", "rien", "sans objet"),
        "it": ("nessuno", "nessuna", "niente", "nulla", "senza", "assente"),
        "es": ("ninguno", "ninguna", "nada", "sin"),
        "nl": ("geen", "zonder", "niets", "n.v.t.", "nvt"),
    },
    "as above": {
        "en": ("ditto", "as above", "see above", "same as above", "same"),
        "de": ("dito", "dto.", "dto", "wie oben", "siehe oben", "dgl.", "desgl.", "desgleichen"),
        "fr": ("comme ci-dessus", "ci-dessus", "voir ci-dessus"),
        "it": ("come sopra", "c.s.", "vedi sopra"),
        "es": ("ídem", "como arriba", "igual que arriba"),
        "nl": ("zie boven", "als boven", "hetzelfde"),
    },
    "an answer": {
        "en": ("yes", "missing", "gone"),
        "de": ("ja", "nein", "fehlt", "fehlend"),
        "fr": ("oui", "non", "manquant", "manquante", "manque", "absent"),
        "it": ("sì", "manca", "mancante"),
    },
}
#: What doubtful words mean, by the language of the sheet; without a language, or in another one, they stay doubtful.
_DOUBTFUL: Mapping[str, Mapping[str, Nothing]] = {
    "s.o.": {"de": "as above", "fr": "none"},
    "s/o": {"de": "as above", "fr": "none"},
    "idem": {
        "en": "as above",
        "de": "as above",
        "fr": "as above",
        "it": "as above",
        "es": "as above",
        "nl": "as above",
    },
    "id.": {"en": "as above", "de": "as above", "fr": "as above", "it": "as above"},
    "do.": {"en": "as above", "de": "as above"},
    "n/a": {},
    "n.a.": {},
    "n.v.": {},
    "n/c": {},
    "n.c.": {},
    "s/n": {"es": "none"},
}
_DITTO_MARKS = re.compile(r"//+|,,|[\"'`′„“”〃‟]{1,4}")
_NOT_KNOWN_MARKS = re.compile(r"[?¿]+")
#: What is said to be not known or none, written before it: "S/N illegible", "Nr. unbekannt".
_LABEL = re.compile(
    r"(?:s/n|serial|ser|no|nr|n°|nº|number|nummer|numéro|numero|matricule|matricola)"
    r"(?:[.: ]+(?:no|nr|number))?[.: ]+(?=[^\W\d])"
)
#: Dashes, dots and strokes alone: not known, none, or as above.
_ONLY_MARKS = re.compile(r"[-\u2010-\u2015\u2212._/\\~=:;,| ]+")
_MEANING: Mapping[str, Nothing] = {
    word: meaning for meaning, languages in _WORDS.items() for words in languages.values() for word in words
}
#: What is made of each answer where a letter is asked: the state of the match code.
_STATES: Mapping[Nothing, str] = {
    "not known": "not looked at",
    "not legible": "unreadable",
    "none": "never fitted",
}


@lru_cache(maxsize=8192)
def nothing_in(text: str, language: str = "") -> Nothing | None:
    """Which kind of nothing a text is, None if it says something. `language` (de, en, es, fr, it, nl): of its sheet.

    "Yes", "no" and "missing" are nothing only where a letter is asked: `an answer`.
    """
    written = " ".join(unicodedata.normalize("NFKC", clean(text)).casefold().split()).replace(". ", ".")
    inner = written.strip("()[]<> ") or written
    if not inner:
        return None
    bare = inner.rstrip(".!?:;")
    for spelling in (inner, bare, f"{inner}." if "." in inner else inner, _LABEL.sub("", bare, count=1)):
        if spelling in _DOUBTFUL:
            return _DOUBTFUL[spelling].get(language, "doubtful")
        if spelling in _MEANING:
            return _MEANING[spelling]
    if _NOT_KNOWN_MARKS.fullmatch(inner):
        return "not known"
    if _DITTO_MARKS.fullmatch(inner):
        return "as above"
    return "doubtful" if _ONLY_MARKS.fullmatch(inner) else None


def what_is_meant(text: str, language: str = "") -> tuple[str | None, str | None]:
    """A match code and its state, from what was typed for it. A doubtful word stays as written, and is no letter."""
    nothing = nothing_in(text, language)
    if nothing in (None, "doubtful"):
        return text, "read"
    return None, _STATES.get(nothing) if nothing else None


def set_aside(what: str, text: str, language: str = "") -> str:
    """The sentence on a word that stands where a code, a serial or a name should; "" if the text says something.

    `what` is "match code", or the name of the value that is left empty.
    """
    nothing = nothing_in(text, language)
    if nothing is None or (nothing == "an answer" and what != "match code"):
        return ""
    if what != "match code":
        meant = "may mean not known, none or as above" if nothing == "doubtful" else _meaning(nothing)
        return f'{what}: "{text}" {meant}, so it is left empty'
    if nothing == "doubtful":
        return f'match code: "{text}" is kept as written but is no letter; say what it means with the match code state'
    if nothing in ("not legible", "none"):
        return f'match code: "{text}" {_meaning(nothing)}; recorded as {_STATES[nothing]}'
    return f'match code: "{text}" {_meaning(nothing)}, so no letter is recorded'


def _meaning(nothing: Nothing) -> str:
    return "is no letter" if nothing == "an answer" else f"means {nothing}"


def is_no_name(text: str) -> bool:
    """Whether a text that stands where a name, number or serial should says nothing."""
    return nothing_in(text) not in (None, "an answer")


def refuse_as_above(what: str, text: str) -> None:
    """Refuse a correction to "ditto", which would take a value away, and one of a letter to an answer ("yes")."""
    nothing = nothing_in(clean(text))
    if nothing == "as above" or (nothing == "an answer" and what == "match code"):
        raise Refused(
            "as-above",
            f'"{clean(text)}" cannot be the {what}: it {_meaning(nothing)}',
            where=what,
            hint=f"write the {what} itself",
        )


def name_given(what: str, text: str) -> str:
    """A name or number as it may be looked up by (`short_enough`). Raises `Refused` for a word that means nothing."""
    nothing = nothing_in(clean(text))
    if nothing is not None and is_no_name(clean(text)):
        why = "says nothing certain" if nothing == "doubtful" else _meaning(nothing)
        raise Refused(
            "not-a-name",
            f'"{clean(text)}" cannot be the {what}: it {why}',
            where=what,
            hint="leave it out, or give the name",
        )
    return short_enough(what, text)
