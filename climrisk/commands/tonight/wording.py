"""Tonight in words: why, what first, what a cover does, and the cautions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from climrisk.advice import cautions as caution
from climrisk.advice import tonight as advice
from climrisk.advice.limits import PlantLimits
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.weather_info import caution_info
from climrisk.commands.tonight.result import (
    Figure,
    NightForecast,
    PlantTonight,
    SpotTonight,
)
from climrisk.core.days import day_in_words
from climrisk.core.quantities import (
    SPEED,
    difference,
    differences,
    quantity,
    temperature,
)
from climrisk.render.document import Caution
from climrisk.spot.regimes import night_kind


def night_words(kind: str, air: advice.NightAir, cloud_frac: float | None) -> str:
    """Return how a night is, in words; what the forecast leaves open is taken as."""
    if air.wind_first:
        return "windy: wind first, cold second"
    clear = "clear" if cloud_frac is not None else "taken as clear"
    return {
        "still": f"{clear} and calm"
        if air.wind_m_s is not None or cloud_frac is None
        else "clear, taken as calm",
        "windy": "windy or cloudy: the cold comes with the air",
    }.get(kind, "partly clear, some wind")


def why(
    spot: SpotTonight, limits: PlantLimits, what: advice.NightAction, *, resting: bool
) -> str:
    """Return why something is to be done with a plant."""
    text = f"may reach {temperature(spot.plan_for_c)}"
    likes, stands = limits.preferred_c, limits.tolerated_c
    if what == "carry" and spot.plan_for_c < stands:
        return f"{text}, tolerates {temperature(stands)}"
    if spot.plan_for_c >= likes:
        return f"{text}, prefers {temperature(likes)} or more"
    text += f", prefers {temperature(likes)}, tolerates {temperature(stands)}"
    if resting:
        return f"{text}; it rests or needs this cold"
    return f"{text}; one such night does no harm" if what == "leave" else text


def even_there(to: SpotTonight | None, preferred_c: float) -> str:
    """Return that the room is not warm enough either, or nothing."""
    if to is None or to.plan_for_c >= preferred_c:
        return ""
    return f"; even there ({to.name}) plan for {temperature(to.plan_for_c)}"


def rooms_words(spots: Sequence[SpotTonight], *, picked: bool) -> str:
    """Return that rooms were picked for this one night, where there was a choice."""
    if not picked or sum(s.indoors for s in spots) < 2:
        return ""
    return (
        "The rooms are chosen for this night alone; the calendar names the one for "
        "the whole winter, which may be another."
    )


def cover_words(air: advice.NightAir) -> str:
    """Return what a cover does on such a night."""
    low, high = advice.FLEECE_RANGE_K
    if air.cover_helps:
        return (
            f"Light fleece gives {differences(low, high)} on such a night; "
            f"{difference(air.cover_gain_k)} is counted. It must not lie on wet "
            "leaves, and "
            "plastic comes off at sunrise."
        )
    if air.wind_first or night_kind(air.weight) == "windy":
        return (
            "A cover is useless against this cold: it comes with moving air, not from "
            "the sky. Shelter from the wind or carry in."
        )
    return "Do not rely on a cover: the night is not clear and calm enough."


def what_first(
    air: advice.NightAir,
    secure: Sequence[str],
    *,
    open_air: bool,
    carry: Sequence[PlantTonight],
    cold: bool,
) -> list[str]:
    """Return what is to be done before anything is carried.

    `cold` says whether any plant may get colder than it prefers; then no pot is
    watered, not even to weigh it down against the wind.
    """
    out = []
    if open_air and air.wind_first:
        out.append(
            "Wind first: take down hanging pots, clear rails and edges, and stand tall "
            "pots in a corner or lay them down before the wind rises."
        )
    if secure:
        out.append(
            "Tie, lay down or bring into a corner what stays and may fall in tonight's "
            f"gusts: {'; '.join(secure)}."
        )
    if any(row.heavy for row in carry):
        out.append("Heavy pots first, with a trolley or two people, while it is dry.")
    if cold:
        out.append(
            "Do not water tonight: a wet medium gets colder (common practice, no "
            "source). Empty the reservoir of a self-watering pot that stays out."
        )
    return out


def sentence(
    night: NightForecast,
    spots: list[SpotTonight],
    carry: list[PlantTonight],
    cover: list[PlantTonight],
    leave: list[PlantTonight],
    inside: list[PlantTonight],
) -> str:
    """Return what to do, the night, and its coldest spot."""
    outside = [s for s in spots if not s.indoors] or spots
    coldest = min(outside, key=lambda s: s.plan_for_c)
    day = day_in_words(night.evening, year=False)
    text = (
        f"Night of {day}, {night.words}. Coldest spot: {coldest.name}, "
        f"{temperature(coldest.expected_c)} expected, plan for "
        f"{temperature(coldest.plan_for_c)}."
    )
    if not (carry or cover or leave or inside):
        return text
    count = [sum(row.count for row in rows) for rows in (carry, cover, leave, inside)]
    noted = f", {count[3]} inside by your notes" if inside else ""
    return f"Carry {count[0]}, cover {count[1]}, leave {count[2]}{noted}. {text}"


def figures(air: advice.NightAir) -> list[Figure]:
    """Return the figures that the advice rests on."""
    low, high = advice.FLEECE_RANGE_K
    return [
        Figure(
            what="error of the forecast minimum tonight, standard deviation",
            value=round(air.forecast_margin_k, 1),
            unit="K",
            basis=f"our estimate: {difference(2)} on clear calm nights, "
            f"{difference(1)} on others, in between by how clear and calm it is; "
            "published biases disagree in sign",
        ),
        Figure(
            what="light fleece on a clear calm night",
            value=advice.FLEECE_K,
            unit="K",
            basis=f"extension service: {differences(low, high)}; nothing in wind",
        ),
        Figure(
            what="gusts from which pots are taken down",
            value=round(advice.GUST_M_S * 3.6),
            unit="km/h",
            basis=f"growers' reports say about {quantity(SPEED, 50)}; less a tenth for "
            "the forecast",
        ),
        Figure(
            what="gusts over mean wind, where no gusts are given",
            value=advice.GUST_FACTOR,
            unit="1",
            basis="memory",
        ),
    ]


def cautions(
    air: advice.NightAir,
    carry: Sequence[PlantTonight],
    toxic_notes: Mapping[str, str | None],
    *,
    open_air: bool,
    places: Sequence[NamedSpot],
) -> list[Caution]:
    """Return the cautions of a night."""
    carried = {row.plant for row in carry}
    toxic = [
        caution.CautionText(
            caution.TOXIC.topic, caution.TOXIC.text.format(note=f"{name}, {note}")
        )
        for name, note in toxic_notes.items()
        if note and name in carried
    ]
    texts = [caution.ESTIMATE]
    if open_air and (air.wind_first or air.gusts_m_s is None):
        texts.append(caution.WIND)
    if carry:
        texts.append(caution.LIFTING)
        texts += toxic[:3] or [caution.NOT_LISTED]
    if any(kind.group == "glazed" for _, kind in places) and not air.wind_first:
        texts.append(caution.HEAT)
    return caution_info(texts)
