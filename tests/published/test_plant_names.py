"""Names as growers write them, and where they should lead.

The names of ``plant_names.csv`` come from common trade usage: labels, catalogs and what
people call their plants; there is no single source. `leads_to` gives the outcomes that
are right: words in the name of the profile, ``question: TOPIC``, or ``scenario`` where
no profile has the plant and it is asked how it is sold. Where a profile may be added
later, both are listed.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from climrisk.plants.names import resolve
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError

TABLE = Path(__file__).with_name("plant_names.csv")

#: More names, so that the rules are general: what is typed, and where it leads.
MORE = {
    # registered abbreviations and short forms
    "Z.": "Zygopetalum",
    "V. coerulea": "Vanda coerulea",
    "C.": "question: Cattleya",
    "C. walkeriana": "Cattleya, Brazilian bifoliate",
    "C. skinneri": "Guarianthe",
    "Coel. cristata": "Coelogyne, cool",
    "C. cristata": "Coelogyne, cool",
    "Max. variabilis": "Maxillaria",
    "Lyc. aromatica": "Lycaste and Anguloa",
    "Bulb.": "Bulbophyllum",
    "Brs. verrucosa": "Brassia",
    "Enc. cordigera": "Encyclia",
    "Odm. crispum": "Oncidium, cool",
    "Odcdm. Tiger Crow": "Oncidium alliance",
    "Vuyl.": "Oncidium alliance",
    "Wils.": "Oncidium alliance",
    "Bllra.": "Oncidium alliance",
    "Burr. Nelly Isler": "Oncidium alliance",
    "Slc. Jewel Box": "Cattleya, standard",
    "Pot.": "Cattleya, standard",
    "Dtps": "Phalaenopsis hybrids",
    "Ascda. Princess Mikasa": "Vanda, small",
    "Epi. radicans": "Epidendrum, reed-stem",
    "P. bellina": "Phalaenopsis, warm star",
    "D. nobile": "Dendrobium nobile",
    "Phrag. besseae": "Phragmipedium besseae",
    "Milt. spectabilis": "Miltonia, Brazilian",
    # wrong letters
    "Kattleya": "question: Cattleya",
    "Falenopsis": "Phalaenopsis hybrids",
    "Cattleya walkerana": "Cattleya, Brazilian bifoliate",
    "Cattelya trianae": "Cattleya, standard",
    "Masdevalia veitchiana": "Masdevallia",
    "Paphiopedilum rothschildeanum": "Paphiopedilum, multifloral",
    "bouganvillea": "Bougainvillea",
    "hibicus": "Hibiscus",
    "frangipanni": "Plumeria",
    "Spathyphyllum": "Spathiphyllum",
    "dracena": "Dracaena",
    "peace lilly": "Spathiphyllum",
    # plurals, filler words, old names, species of a known genus
    "lemon trees": "Citrus, lemon",
    "lime tree": "Citrus, lemon",
    "banana plants": "Musa",
    "vanda orchids": "question: Vanda",
    "Cattleya hybrids": "question: Cattleya",
    "my geraniums": "Pelargonium",
    "angels trumpets": "Brugmansia",
    "Hibiscus tree": "Hibiscus",
    "mothorchid": "Phalaenopsis hybrids",
    "Zygocactus": "Epiphyllum",
    "Sophronitis cernua": "Cattleya coccinea",
    "Macodes petola": "Ludisia",
    "Cypripedium insigne": "Paphiopedilum, plain",
    "Masdevallia floribunda": "Masdevallia",
    "Cymbidium aloifolium": "question: Cymbidium",
    "Vanda tessellata": "question: Vanda",
    "Musa basjoo": "question: Musa",
    "Hibiscus syriacus": "question: Hibiscus",
    "Miltonia": "question: Miltonia",
    "pitcher plant": "question: Nepenthes",
    # common words
    "tree": "scenario",
    "plant": "scenario",
    "flower": "scenario",
    "orchids": "question: orchid",
    "lily": "scenario",
    "palm": "question: palm",
    "fern": "scenario",
    "rose": "scenario",
    "tomato": "scenario",
    "spider": "scenario",
    "corn": "scenario",
    "window": "scenario",
    "king": "scenario",
    "lemon orchid": "scenario",
    "orchid tree": "scenario",
    "panda plant": "scenario | Kalanchoe",
    "water lily": "scenario",
    "Rosa chinensis": "scenario",
    "Geranium sanguineum": "scenario",
    "mandarin orchid": "Phragmipedium, long-petalled",
    "orchid cactus": "Epiphyllum",
    "Colocasia": "scenario",
    "Columnea": "scenario",
    "Brassica": "scenario",
    "": "scenario",
}


def outcome(typed: str) -> str:
    """Return where a name leads, in the words of the table."""
    try:
        return resolve(typed).profile.name
    except AmbiguousPlantError as question:
        return f"question: {question.about}"
    except UnknownPlantError:
        return "scenario"


def right(leads_to: str, got: str) -> bool:
    for wanted in leads_to.split(" | "):
        if got.startswith("question: ") or got == "scenario":
            if got == wanted:
                return True
        elif wanted.lower() in got.lower():
            return True
    return False


def test_names_lead_where_growers_mean():
    rows = list(csv.DictReader(TABLE.open(encoding="utf-8", newline="")))
    assert len(rows) == 128
    correct, silent = 0, []
    for row in rows:
        got = outcome(row["typed"])
        fine = right(row["leads_to"], got)
        correct += fine
        kind = "resolves"
        if got == "scenario" or got.startswith("question: "):
            kind = "scenario" if got == "scenario" else "asks"
        elif not fine:
            silent.append(row["typed"])
        print(f"{row['typed']:30} {kind if fine else 'WRONG':9} {got}")
    print(f"{correct} of {len(rows)} correct, {len(silent)} silently wrong")
    assert silent == []
    assert correct >= 118


@pytest.mark.parametrize(("typed", "leads_to"), MORE.items())
def test_the_rules_are_general(typed, leads_to):
    assert right(leads_to, outcome(typed))
