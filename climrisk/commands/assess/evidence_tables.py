"""Tables of what an assessment leans on, lacks, and would serve better."""

from __future__ import annotations

from climrisk.commands.assess.result import AssessResult, DoseReport
from climrisk.core.quantities import DEGREES
from climrisk.render.answer import spoken
from climrisk.render.display_units import temperatures
from climrisk.render.page import Table
from climrisk.render.text import span


def evidence_tables(result: AssessResult) -> list[Table]:
    """Return wanted cold, lacks, other spots, weak evidence, and what would change."""
    out = []
    wanted = result.wanted
    if wanted is not None and wanted.earned_by:
        out.append(
            Table(
                f"Wanted {wanted.counted}s of "
                f"{temperatures(wanted.low_c, wanted.high_c)} "
                f"for its {wanted.purpose}",
                ["earned before the evening of", "nights (low to high)"],
                [(spoken(r.month_day), span(r.nights, 0)) for r in wanted.earned_by],
                folded=True,
            )
        )
    if result.dose.reports:
        out.append(
            Table(
                "Left there all winter: reports of cold that past winters reach",
                [
                    "reported",
                    f"at or below {DEGREES}",
                    "for",
                    "what was seen",
                    "winters",
                ],
                [
                    (r.outcome, r.at_or_below_c, _length(r), r.told, r.winters)
                    for r in result.dose.reports
                ],
            )
        )
    if result.lacks:
        rows = [(r.need, r.words) for r in result.lacks]
        out.append(Table("What it would lack", ["", "why"], rows))
    serving = result.serving
    out.append(
        Table(
            f"Other spots, last {serving.growing_years} growing years",
            [
                *("spot", "verdict", "harmful nights a year", "cold nights a year"),
                "hours too hot a year",
            ],
            [
                (
                    s.words,
                    s.word,
                    s.harmful_nights_per_year,
                    s.cold_nights_per_year,
                    "?" if s.hot_hours_per_year is None else s.hot_hours_per_year,
                )
                for s in serving.spots
            ],
        )
    )
    if result.weak:
        weak = [(r.what, r.words) for r in result.weak]
        out.append(Table("Where the evidence is weak", ["", "why"], weak))
    if result.would_change.words:
        change = [(words,) for words in result.would_change.words]
        out.append(Table("What would change this", ["what"], change))
    return out


def _length(report: DoseReport) -> str:
    if report.nights is not None:
        return f"{report.nights} nights of {report.hours:g} h"
    return "not stated" if report.hours is None else f"{report.hours:g} h"
