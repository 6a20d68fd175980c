"""Earlier jobs as one page, with a chart of each characteristic over jobs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from markupsafe import Markup

from handsfree.review.history import Past, job_heading, trends, verdict
from handsfree.review.pages.charts import trend_chart
from handsfree.review.pages.shared import moment, render


def history_page(title: str, jobs: Sequence[Past], more: int, *, written_at: datetime, version: str) -> str:
    """The page; ``jobs`` are the newest first, ``more`` is how many older ones are left out."""
    charts = [(f"{trend.name[:1].upper()}{trend.name[1:]}, {trend.bounds.text}", trend) for trend in trends(jobs)]
    return render(
        "history.html",
        foot=title,
        title=title,
        charts=[
            (name, Markup(trend_chart(f"trend-{number}", f"{name}, over jobs", trend.bounds, trend.marks)))
            for number, (name, trend) in enumerate(charts, 1)
        ],
        jobs=[
            {
                "title": job_heading(job),
                "opened": job.job.opened,
                "rows": [(each.event, verdict(each)) for each in job.readings],
                "notes": job.notes,
            }
            for job in jobs
        ],
        more=max(0, more),
        closing=f"Written {moment(written_at)} by Handsfree {version} from the log alone.",
    )
