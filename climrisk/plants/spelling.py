"""Words of plant names made comparable, and how many letters two of them differ by."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

#: Pairs of letters that sound alike in plant names, in the order they are replaced.
_ALIKE = (("ae", "e"), ("oe", "e"), ("ph", "f"), ("th", "t"), ("rh", "r"), ("ch", "c"))
_LETTERS = str.maketrans("ykwz", "icvs")
_IRREGULAR = {"cacti": "cactus", "lilly": "lily", "lillies": "lily"}
#: From this many letters on a word may have one wrong, and two.
ONE_WRONG, TWO_WRONG = 5, 8


@lru_cache(maxsize=10_000)
def words_of(name: str) -> tuple[str, ...]:
    """Return the words of a name: lower case, no accents or punctuation, singular.

    The sign of a hybrid is left out.
    """
    plain = unicodedata.normalize("NFKD", re.sub("['‘’`]", "", name))
    plain = plain.encode("ascii", "ignore").decode().lower()
    words = re.findall(r"[a-z0-9]+", plain)
    return tuple(singular(w) for w in words if w != "x") or tuple(words)


def singular(word: str) -> str:
    """Return a word without its plural ending.

    Latin names that end in s lose it as well, alike wherever they are compared.
    """
    word = _IRREGULAR.get(word, word)
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 5 and word.endswith(("ses", "xes", "ches", "shes")):
        word = word[:-2]
    while len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        word = word[:-1]
    return word


def sound(word: str) -> str:
    """Return a word with letters that sound alike written alike."""
    for pair, one in _ALIKE:
        word = word.replace(pair, one)
    return re.sub(r"(.)\1+", r"\1", word.translate(_LETTERS))


def misspelling(typed: str, known: str) -> int | None:
    """Return how far a word is from a known one, or None where it is another word.

    One letter of a word of 5 to 7 letters may be wrong, two of a longer one, and none
    that changes the sound of the first letter: other plants' names lie that close.

    Returns
    -------
    int or None
        0 for the same word, 1 for one that sounds the same, 2 and 3 for one and two
        wrong letters.
    """
    if typed == known:
        return 0
    allowed = (len(typed) >= ONE_WRONG) + (len(typed) >= TWO_WRONG)
    if len(known) < ONE_WRONG or abs(len(typed) - len(known)) > 2 * allowed:
        return None
    heard, meant = sound(typed), sound(known)
    if not allowed or heard[0] != meant[0]:
        return None
    if heard == meant:
        return 1
    wrong = distance(typed, known)
    return 1 + wrong if wrong <= allowed else None


def distance(a: str, b: str) -> int:
    """Return the least number of letters changed, added, left out or swapped.

    Damerau-Levenshtein distance between neighbors (optimal string alignment).
    """
    before: list[int] = []
    row = list(range(len(b) + 1))
    for i, letter in enumerate(a, 1):
        older, before, row = before, row, [i]
        for j, other in enumerate(b, 1):
            least = min(
                before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != other)
            )
            if i > 1 and j > 1 and letter == b[j - 2] and a[i - 2] == other:
                least = min(least, older[j - 2] + 1)
            row.append(least)
    return row[-1]
