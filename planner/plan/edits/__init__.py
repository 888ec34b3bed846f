"""Edits of a plan as frozen values: `apply(plan)` returns the changed plan or raises PlanError."""

from planner.plan.edits.area import (
    DeleteAreaCorner,
    InsertAreaCorner,
    MoveAreaCorner,
    RemoveArea,
    ReplaceArea,
    SetAreaTop,
)
from planner.plan.edits.base import Edit
from planner.plan.edits.circumstances import (
    SetAircraft,
    SetChartSets,
    SetName,
    SetPapers,
    SetPurpose,
    SetWindow,
)
from planner.plan.edits.crew import AddCrew, MoveCrew, MoveCrewTogether, RemoveCrew, ReplaceCrew
from planner.plan.edits.path import (
    AppendPoint,
    DeletePoint,
    InsertPoint,
    MovePoint,
    ReplacePath,
    ReversePath,
    SetLegShape,
    SetLegSpeed,
    SetPointHeight,
)
from planner.plan.edits.records import (
    ConfirmStructure,
    RecordPermission,
    RemovePermission,
    SetGuyWires,
    SetNotices,
)
from planner.plan.edits.restrictions import (
    AddRestriction,
    RemoveRestriction,
    ReplaceRestriction,
    ReshapeRestriction,
)
from planner.plan.edits.sheet import SetSheetNotes
from planner.plan.edits.sight import SetOwnUnseen, SetVisibility
from planner.plan.edits.spots import SetLand, SetLanding, SetLaunch
from planner.plan.edits.weather import SetWeather

__all__ = [
    "AddCrew",
    "AddRestriction",
    "AppendPoint",
    "ConfirmStructure",
    "DeleteAreaCorner",
    "DeletePoint",
    "Edit",
    "InsertAreaCorner",
    "InsertPoint",
    "MoveAreaCorner",
    "MoveCrew",
    "MoveCrewTogether",
    "MovePoint",
    "RecordPermission",
    "RemoveArea",
    "RemoveCrew",
    "RemovePermission",
    "RemoveRestriction",
    "ReplaceArea",
    "ReplaceCrew",
    "ReplacePath",
    "ReplaceRestriction",
    "ReshapeRestriction",
    "ReversePath",
    "SetAircraft",
    "SetAreaTop",
    "SetChartSets",
    "SetGuyWires",
    "SetLand",
    "SetLanding",
    "SetLaunch",
    "SetLegShape",
    "SetLegSpeed",
    "SetName",
    "SetNotices",
    "SetOwnUnseen",
    "SetPapers",
    "SetPointHeight",
    "SetPurpose",
    "SetSheetNotes",
    "SetVisibility",
    "SetWeather",
    "SetWindow",
]
