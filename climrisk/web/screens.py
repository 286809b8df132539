"""The screens: what each asks, what it has computed, and how the result is shown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from climrisk.commands.arrive.command import ArriveInput
from climrisk.commands.arrive.page import arrive_sheet
from climrisk.commands.arrive.result import ArriveResult
from climrisk.commands.arrive.summary import arrive_summary
from climrisk.commands.assess.command import AssessInput
from climrisk.commands.assess.page import open_sheet
from climrisk.commands.assess.result import AssessResult, AssessSeveral
from climrisk.commands.assess.summary import check_summary
from climrisk.commands.calendar.command import CalendarInput
from climrisk.commands.calendar.page import moves_sheet
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.calendar.summary import calendar_summary
from climrisk.commands.event import page as event_page
from climrisk.commands.event.command import EventInput
from climrisk.commands.event.result import EventResult
from climrisk.commands.event.summary import event_summary
from climrisk.commands.exposure.command import ExposureInput
from climrisk.commands.exposure.page import exposure_sheet
from climrisk.commands.exposure.result import ExposureResult
from climrisk.commands.exposure.summary import exposure_summary
from climrisk.commands.learn import page as learn_page
from climrisk.commands.learn.command import LearnInput
from climrisk.commands.learn.result import LearnResult
from climrisk.commands.learn.summary import learn_summary
from climrisk.commands.logger.command import LoggerInput
from climrisk.commands.logger.page import logger_sheet
from climrisk.commands.logger.result import LoggerResult
from climrisk.commands.logger.summary import logger_summary
from climrisk.commands.pots.command import ComparePotsInput
from climrisk.commands.pots.page import pots_sheet
from climrisk.commands.pots.result import PotsResult
from climrisk.commands.pots.summary import pots_summary
from climrisk.commands.remedies.command import RemediesInput
from climrisk.commands.remedies.page import remedies_sheet
from climrisk.commands.remedies.result import RemediesResult
from climrisk.commands.remedies.summary import remedies_summary
from climrisk.commands.review import page as review_page
from climrisk.commands.review.command import ReviewInput
from climrisk.commands.review.result import ReviewResult
from climrisk.commands.review.summary import review_summary
from climrisk.commands.spots import page as spots_page
from climrisk.commands.spots.command import RankSpotsInput
from climrisk.commands.spots.result import SpotsResult
from climrisk.commands.spots.summary import spots_summary
from climrisk.commands.stations import page as stations_page
from climrisk.commands.stations.command import StationsInput
from climrisk.commands.stations.result import StationsResult
from climrisk.commands.stations.summary import stations_summary
from climrisk.commands.tonight import page as keeper_pages
from climrisk.commands.tonight.command import TonightInput
from climrisk.commands.tonight.result import TonightResult
from climrisk.commands.tonight.summary import tonight_summary
from climrisk.commands.winter.command import WinterInput
from climrisk.commands.winter.page import winter_sheet
from climrisk.commands.winter.result import WinterResult
from climrisk.commands.winter.summary import winter_summary
from climrisk.inputs.option import Declared
from climrisk.render.page import Page
from climrisk.render.summary import Summary
from climrisk.web.asks import WeatherAsk, ask_for


@dataclass(frozen=True)
class Screen:
    """A screen and its JSON document.

    Parameters
    ----------
    path : str
        Without slash; the document has ``.json`` behind it.
    name : str
        As the menu says it.
    question : str
        What the keeper wants to know here: the heading.
    call : str
        What is computed, see `climrisk.web.tasks.Task`.
    ask : type of WeatherAsk
    result : type of Result, or several
    sheet : callable
        From a result and today to what is shown.
    summary : callable
        The same to what is shown first.
    needs : tuple of str
        Options without which nothing is computed yet; one of those with a bar between.
    usual : dict
        Options of the screen that the call leaves open.
    labels : dict
        What its form calls inputs, where the declaration's label does not fit.
    area : str
        Path of the area that it belongs to, see `AREAS`.
    in_menu : bool
    minutes : int, optional
        So long an answer stays true, where that is less than the day.
    with_home : bool
        A logger's file is looked at together with the home.
    needs_place : bool
        Nothing is computed before a place is said, where no own home says it.
    """

    path: str
    name: str
    question: str
    call: str
    ask: type[WeatherAsk]
    result: Any
    sheet: Callable[[Any, date], Page]
    summary: Callable[[Any, date], Summary]
    needs: tuple[str, ...] = ()
    usual: dict[str, Any] = field(default_factory=dict)
    labels: dict[str, str] = field(default_factory=dict)
    area: str = "understand"
    in_menu: bool = True
    minutes: int | None = None
    with_home: bool = False
    needs_place: bool = False

    @property
    def declared(self) -> list[Declared]:
        """Inputs of what it computes."""
        return list(self.ask.inputs.declared())


def _undated(sheet: Callable[[Any], Page]) -> Callable[[Any, date], Page]:
    return lambda result, _: sheet(result)


#: In the order of the keeper's year: what stands, what to buy, when to move, where,
#: in what, what has been, and how much to believe of it.
SCREENS = (
    Screen(
        "tonight",
        "Tonight",
        "What must come in tonight?",
        "tonight",
        ask_for("TonightAsk", TonightInput),
        TonightResult,
        _undated(keeper_pages.tonight_sheet),
        tonight_summary,
        minutes=10,
        area="tonight",
    ),
    Screen(
        "plants",
        "My plants",
        "Which plant is nearest to its limit?",
        "calendar",
        ask_for("PlantsAsk", CalendarInput),
        CalendarResult,
        _undated(moves_sheet),
        calendar_summary,
        area="plants",
    ),
    Screen(
        "check",
        "Before buying",
        "Would this plant do well at my place?",
        "assess",
        ask_for("CheckAsk", AssessInput),
        AssessResult | AssessSeveral,
        open_sheet,
        check_summary,
        needs=("plant",),
        labels={"spot": "Where it would stand"},
        area="check",
    ),
    Screen(
        "year",
        "The year",
        "When out, and when back in?",
        "calendar",
        ask_for("YearAsk", CalendarInput),
        CalendarResult,
        _undated(moves_sheet),
        calendar_summary,
        area="plants",
    ),
    Screen(
        "arrival",
        "A new plant",
        "May it go to its place now?",
        "arrive",
        ask_for("ArrivalAsk", ArriveInput),
        ArriveResult,
        _undated(arrive_sheet),
        arrive_summary,
        needs=("plant",),
        labels={"spot": "Where it would stand", "state": "It came"},
        area="check",
    ),
    Screen(
        "cold",
        "After the cold",
        "How cold did the plants get, and what now?",
        "event",
        ask_for("ColdAsk", EventInput),
        EventResult,
        _undated(event_page.event_sheet),
        event_summary,
        area="tonight",
    ),
    Screen(
        "spots",
        "Spots",
        "Which spot suits this plant best?",
        "spots",
        ask_for("SpotsAsk", RankSpotsInput),
        SpotsResult,
        _undated(spots_page.spots_sheet),
        spots_summary,
        needs=("plant",),
    ),
    Screen(
        "pots",
        "Pots and media",
        "Which pot and medium keep the roots warmer?",
        "pots",
        ask_for("PotsAsk", ComparePotsInput),
        PotsResult,
        _undated(pots_sheet),
        pots_summary,
    ),
    Screen(
        "help",
        "What helps",
        "What helps this plant most?",
        "remedies",
        ask_for("HelpAsk", RemediesInput),
        RemediesResult,
        _undated(remedies_sheet),
        remedies_summary,
        needs=("plant",),
        labels={"spot": "Where it stands"},
    ),
    Screen(
        "winter",
        "Winter record",
        "How cold was it, night by night?",
        "winter",
        ask_for("WinterAsk", WinterInput),
        WinterResult,
        _undated(winter_sheet),
        winter_summary,
    ),
    Screen(
        "review",
        "Review the year",
        "How was this winter, and was it predicted?",
        "review",
        ask_for("ReviewAsk", ReviewInput),
        ReviewResult,
        _undated(review_page.review_sheet),
        review_summary,
        with_home=True,
    ),
    Screen(
        "learn",
        "Calibrate a spot",
        "How does my spot differ from the station?",
        "learn",
        ask_for("LearnAsk", LearnInput),
        LearnResult,
        _undated(learn_page.learn_sheet),
        learn_summary,
        needs=("log|demo",),
        labels={"spot": "Where the logger was"},
        with_home=True,
    ),
    Screen(
        "weather",
        "Weather and stations",
        "How good is this weather record?",
        "exposure",
        ask_for("RecordAsk", ExposureInput),
        ExposureResult,
        _undated(exposure_sheet),
        exposure_summary,
        usual={"below": (10.0, 5.0, 0.0)},
    ),
    Screen(
        "stations",
        "Stations",
        "Which stations are near?",
        "stations",
        ask_for("StationsAsk", StationsInput),
        StationsResult,
        _undated(stations_page.stations_sheet),
        stations_summary,
        in_menu=False,
        needs_place=True,
    ),
    Screen(
        "print",
        "Print the moving list",
        "Print the moving list",
        "calendar",
        ask_for("PrintAsk", CalendarInput),
        CalendarResult,
        _undated(moves_sheet),
        calendar_summary,
        area="plants",
    ),
    Screen(
        "logger",
        "A logger's file",
        "What is this file, and how good is it?",
        "logger",
        ask_for("LoggerAsk", LoggerInput),
        LoggerResult,
        _undated(logger_sheet),
        logger_summary,
        needs=("log",),
        labels={"town": "Its town", "at": "Where it was measured"},
        in_menu=False,
    ),
)
BY_PATH = {s.path: s for s in SCREENS}


@dataclass(frozen=True)
class Area:
    """One of the four parts of the page, always in reach.

    Parameters
    ----------
    path, name : str
        Of its first screen, or of a list of its screens.
    """

    path: str
    name: str

    @property
    def screens(self) -> list[Screen]:
        """Its screens in the order of the menu."""
        return [s for s in SCREENS if s.area == self.path and s.in_menu]


AREAS = (
    Area("tonight", "Tonight"),
    Area("plants", "My plants"),
    Area("check", "Before buying"),
    Area("understand", "Understand"),
)
#: What the bar of areas does not show: one tap away, in the menu.
DEEP = [s for a in AREAS for s in a.screens if s.path != a.path]
