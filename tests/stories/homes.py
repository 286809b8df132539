"""Homes of the stories, in the invented town of Veladrag."""

from __future__ import annotations

PLANTS = """
Phalaenopsis hybrids|white moth|balcony|clear-plastic|12|pine-bark-fine
Phalaenopsis hybrids|striped moth|balcony|clear-plastic|12|expanded-clay
Phalaenopsis hybrids|little moth|shelf|thin-plastic|9|sphagnum
Vanda, large tropical hybrids|blue vanda|balcony|slat-basket|15|pine-bark-coarse
Laeliocattleya|old cattleya|balcony|terracotta|18|lava-rock
Laeliocattleya|gift cattleya|balcony|terracotta|14|pine-bark-fine
Guarianthe|guarianthe|shelf|terracotta|14|lava-rock
Encyclia|encyclia|shelf|terracotta|12|lava-rock
Epidendrum, reed-stem|reed epidendrum|walkway|thin-plastic|24|pine-bark-coarse
Oncidium sphacelatum|dancing|shelf|thin-plastic|14|pine-bark-fine
Oncidium alliance intergenerics|red intergeneric|shelf|thin-plastic|14|pine-bark-fine
Zygopetalum|zygo|walkway|thin-plastic|16|pine-bark-fine
Dendrobium nobile type|nobile one|shelf|thin-plastic|10|pine-bark-fine
Dendrobium nobile type|nobile two|shelf|thin-plastic|12|pine-bark-fine
Dendrobium kingianum|rock lily|walkway|terracotta|14|lava-rock
Cymbidium, standard hybrids|big cymbidium|walkway|glazed-ceramic|32|pine-bark-coarse
Cymbidium, standard hybrids|green cymbidium|walkway|thin-plastic|24|pine-bark-coarse
Clivia|clivia|walkway|terracotta|26|pine-bark-fine
Vanda falcata (Neofinetia)|wind orchid|shelf|net-pot|8|sphagnum
Cacti, desert|cacti|shelf|terracotta|10|grit
Plumeria|plumeria|balcony|terracotta|30|pine-bark-coarse
Hoya carnosa and cool-tolerant Hoya|hoya|balcony|thin-plastic|14|pine-bark-fine
Bougainvillea|bougainvillea|balcony|terracotta|34|pine-bark-coarse
"""


def plants() -> list[list[str]]:
    """Return name, label, spot, pot, diameter and medium of 23 plants."""
    return [line.split("|") for line in PLANTS.strip().splitlines()]


def home_of_23(risk: float = 0.1) -> str:
    """Return a home file: 23 plants on three spots, three rooms to carry them to."""
    text = f"""
name = "Three rooms in Veladrag"
elevation_m = 18
risk = {risk}

[weather]
demo = true
years = 20
"""
    for name, kind in (
        ("balcony", "roofed-balcony"),
        ("shelf", "wall-shelf"),
        ("walkway", "roofed-walkway"),
    ):
        text += f'\n[[spot]]\nname = "{name}"\nkind = "{kind}"\n'
    for name, kind in (
        ("living room", "heated-room"),
        ("stairwell", "unheated-room"),
        ("kitchen sill", "window-sill"),
    ):
        text += f'\n[[room]]\nname = "{name}"\nkind = "{kind}"\n'
    for name, label, spot, pot, size, medium in plants():
        text += (
            f'\n[[plant]]\nname = "{name}"\nlabel = "{label}"\nspot = "{spot}"\n'
            f'pot = "{pot}"\npot_diameter_cm = {size}\nmedium = "{medium}"\n'
        )
    return text
