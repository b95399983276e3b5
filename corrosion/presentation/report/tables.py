"""Every table of the report, by the name of its file."""

from corrosion.presentation.report import assumption_tables, faulttables, zonetables
from corrosion.presentation.report.contents import Contents
from corrosion.presentation.tables import Table, file_stem

__all__ = ["hunt_name", "tables"]


def hunt_name(number: int, hunt: dict[str, str]) -> str:
    """Return the name of a hunt sheet's table, plain whatever the system is called."""
    return f"hunt-{number}-{file_stem(hunt['system'])}"


def tables(contents: Contents) -> dict[str, Table]:
    """Return every table of a report by name, in the order of the report.

    Parameters
    ----------
    contents : Contents
        From :func:`corrosion.presentation.report.gather`.
    """
    result = contents.result
    made = [
        zonetables.totals(result),
        zonetables.ranking(result),
        zonetables.plan(contents.plan),
        zonetables.days(contents.plan),
        faulttables.what_ifs(contents.isolation["limits"]),
        faulttables.measures(contents.measures),
        faulttables.leading(result),
        *(
            faulttables.hunt(hunt_name(k, hunt), hunt)
            for k, hunt in enumerate(contents.hunts, start=1)
        ),
        zonetables.gaugings(contents.gaugings),
        zonetables.taught(contents.calibrated_thickness),
        faulttables.durations(contents.isolation["durations"]["curve"]),
        assumption_tables.assumption_table(result.ship),
        assumption_tables.sources(result.ship),
        assumption_tables.doubts(result.warnings),
    ]
    return {table.name: table for table in made}
