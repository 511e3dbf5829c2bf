"""Are the circuits of a multi-tenant building metered so that every billing point gets exactly the
energy it used?

Read a site, look at it as of an instant, and check it::

    import blondel

    site = blondel.Site.from_file("building.json")
    for finding in blondel.check(site.view()):
        print(finding.title(), "-", finding.text())

NumPy and pandas are imported when an array or a frame is first used.
"""

from __future__ import annotations

from typing import Any

from . import _blondel

if _blondel.version_number() != _blondel.header_version_number:
    raise ImportError(
        f"blondel was built for version {_blondel.header_version_text}, and version {_blondel.version_text()} is loaded"
    )

from . import errors
from ._apportion import Apportionment, Share, Step, apportion
from ._calendar import BinRow, Bins, LocalTime, TimeOfUse, Zone
from ._columns import Column
from ._demand import Coincidence, Demand, Peak, Window, coincidence
from ._energy import QUALITY, Reconciliation, RollupStream, Statement, StatementRow, Suspicion, Tenure, rollup
from ._expected import ExpectedReading, ExpectedReadings, expected_readings
from ._faults import Classes, Hypotheses, Placement, correction_curve, correction_limit, fault_kinds, ratio_spread
from ._form import (
    Arrangement,
    Bound,
    Conductor,
    Element,
    Evaluation,
    Form,
    Nominal,
    Note,
    Pointing,
    Residual,
    Weights,
)
from ._intervals import Arrival, IntervalNote, IntervalReader, Intervals
from ._json import json_canonical, json_patch
from ._live import Live, LiveChannel, LivePoint, LiveSum, Readings, live_check
from ._phase_test import PhasePanel, PhaseRow, PhaseTest, phase_test, phase_test_file, phase_test_sheet
from ._plan import Plan, PlanConflict, PlanDevice, PlanRow, plan, plan_sheet, read_schedule
from ._proof import PointProof, Proof, ProofClass, Seat, Test, Wiring, prove
from ._quantities import (
    Quantities,
    Quantity,
    QuantityTable,
    Registers,
    import_export,
    phasor_quantities,
    polar_quantities,
    quantities,
    snapshot_power,
    spectrum_quantities,
    three_phase_spectra,
    unbalance_of_lines,
)
from ._recheck import Changes, Recheck, compare
from ._references import (
    Explanation,
    PhaseSequence,
    cross_references,
    phase_sequence,
    phase_sequence_indicator,
    recognise_references,
)
from ._report import Catalogue, Fact, Finding, Key, Policy, Report, Subject, check
from ._site import Assignment, Draft, Site, When
from ._standards import Limit, copper_ohms_per_m, gauge_mm2, limit, limits
from ._table import Field, fields, kinds
from ._time import instant, instant_text, to_datetime
from ._trace import NaturalSteps, Trace, TraceBreaker, TraceResult, TraceRow, natural_steps
from ._uncertainty import (
    AccuracyClass,
    Limits,
    PointUncertainty,
    PowerError,
    PowerUncertainty,
    SumUncertainty,
    Uncertain,
    accuracy_classes,
    accuracy_limits,
    combine,
    point_uncertainty,
    power_error,
    power_uncertainty,
    propagate,
    rollup_uncertainty,
)
from ._view import Collection, Entity, View
from ._wave import WaveResult, WaveStream, WaveWindow
from .errors import *  # noqa: F403

__version__ = _blondel.version_text()
#: version of the site file format that this library writes
format_version = _blondel.format_version


def default_limits() -> tuple[int, int]:
    """Deepest nesting, and longest text in bytes, that are read unless told otherwise."""
    return _blondel.limits_default()


def schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of a site file, as a mapping."""
    import json

    return json.loads(_blondel.schema())


__all__ = [
    "AccuracyClass",
    "Apportionment",
    "Arrangement",
    "Arrival",
    "Assignment",
    "BinRow",
    "Bins",
    "Bound",
    "Catalogue",
    "Changes",
    "Classes",
    "Coincidence",
    "Collection",
    "Column",
    "Conductor",
    "Demand",
    "Draft",
    "Element",
    "Entity",
    "Evaluation",
    "ExpectedReading",
    "ExpectedReadings",
    "Explanation",
    "Fact",
    "Field",
    "Finding",
    "Form",
    "Hypotheses",
    "IntervalNote",
    "IntervalReader",
    "Intervals",
    "Key",
    "Limit",
    "Limits",
    "Live",
    "LiveChannel",
    "LivePoint",
    "LiveSum",
    "LocalTime",
    "NaturalSteps",
    "Nominal",
    "Note",
    "Peak",
    "PhasePanel",
    "PhaseRow",
    "PhaseSequence",
    "PhaseTest",
    "Placement",
    "Plan",
    "PlanConflict",
    "PlanDevice",
    "PlanRow",
    "PointProof",
    "PointUncertainty",
    "Pointing",
    "Policy",
    "PowerError",
    "PowerUncertainty",
    "Proof",
    "ProofClass",
    "QUALITY",
    "Readings",
    "Recheck",
    "Reconciliation",
    "Report",
    "Residual",
    "RollupStream",
    "Seat",
    "Share",
    "Site",
    "Statement",
    "StatementRow",
    "Step",
    "Subject",
    "SumUncertainty",
    "Suspicion",
    "Tenure",
    "Test",
    "TimeOfUse",
    "Trace",
    "TraceBreaker",
    "TraceResult",
    "TraceRow",
    "Uncertain",
    "View",
    "Weights",
    "When",
    "Window",
    "Wiring",
    "Zone",
    "accuracy_classes",
    "accuracy_limits",
    "apportion",
    "check",
    "coincidence",
    "combine",
    "compare",
    "copper_ohms_per_m",
    "correction_curve",
    "correction_limit",
    "cross_references",
    "default_limits",
    "errors",
    "expected_readings",
    "fault_kinds",
    "fields",
    "format_version",
    "gauge_mm2",
    "instant",
    "instant_text",
    "json_canonical",
    "json_patch",
    "kinds",
    "limit",
    "limits",
    "live_check",
    "natural_steps",
    "phase_sequence",
    "phase_sequence_indicator",
    "phase_test",
    "phase_test_file",
    "phase_test_sheet",
    "plan",
    "plan_sheet",
    "point_uncertainty",
    "power_error",
    "power_uncertainty",
    "propagate",
    "prove",
    "ratio_spread",
    "read_schedule",
    "recognise_references",
    "rollup",
    "rollup_uncertainty",
    "schema",
    "to_datetime",
]
__all__ += errors.__all__
