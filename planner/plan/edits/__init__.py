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
from planner.plan.edits.beneath import (
    AddBeneath,
    RemoveBeneath,
    ReplaceBeneath,
    ReshapeBeneath,
    SetFromVehicle,
    SetOtherPilots,
    SetPeopleDistance,
)
from planner.plan.edits.circumstances import (
    SetAircraft,
    SetChartSets,
    SetName,
    SetPapers,
    SetPurpose,
    SetWindow,
)
from planner.plan.edits.crew import AddCrew, MoveCrew, MoveCrewTogether, RemoveCrew, ReplaceCrew
from planner.plan.edits.figures import (
    DeleteFigure,
    DissolveFigure,
    LayFigure,
    MakeFigure,
    RelayFigure,
    ReplaceFigure,
)
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
from planner.plan.edits.shape import (
    DeletePoints,
    InsertPoints,
    MergePoints,
    PlacePoints,
    RaisePoints,
    ReshapePath,
    ReversePoints,
    SnapPoints,
)
from planner.plan.edits.sheet import SetSheetNotes
from planner.plan.edits.sight import SetOwnTriedDays, SetOwnUnseen, SetVisibility
from planner.plan.edits.site import TakeSite
from planner.plan.edits.spots import SetLand, SetLanding, SetLaunch
from planner.plan.edits.standing import AllowStanding, ForbidStanding, ReshapeStanding
from planner.plan.edits.weather import SetWeather

__all__ = [
    "AddBeneath",
    "AddCrew",
    "AddRestriction",
    "AllowStanding",
    "AppendPoint",
    "ConfirmStructure",
    "DeleteAreaCorner",
    "DeleteFigure",
    "DeletePoint",
    "DeletePoints",
    "DissolveFigure",
    "Edit",
    "ForbidStanding",
    "InsertAreaCorner",
    "InsertPoint",
    "InsertPoints",
    "LayFigure",
    "MakeFigure",
    "MergePoints",
    "MoveAreaCorner",
    "MoveCrew",
    "MoveCrewTogether",
    "MovePoint",
    "PlacePoints",
    "RaisePoints",
    "RecordPermission",
    "RelayFigure",
    "RemoveArea",
    "RemoveBeneath",
    "RemoveCrew",
    "RemovePermission",
    "RemoveRestriction",
    "ReplaceArea",
    "ReplaceBeneath",
    "ReplaceCrew",
    "ReplaceFigure",
    "ReplacePath",
    "ReplaceRestriction",
    "ReshapeBeneath",
    "ReshapePath",
    "ReshapeRestriction",
    "ReshapeStanding",
    "ReversePath",
    "ReversePoints",
    "SetAircraft",
    "SetAreaTop",
    "SetChartSets",
    "SetFromVehicle",
    "SetGuyWires",
    "SetLand",
    "SetLanding",
    "SetLaunch",
    "SetLegShape",
    "SetLegSpeed",
    "SetName",
    "SetNotices",
    "SetOtherPilots",
    "SetOwnTriedDays",
    "SetOwnUnseen",
    "SetPapers",
    "SetPeopleDistance",
    "SetPointHeight",
    "SetPurpose",
    "SetSheetNotes",
    "SetVisibility",
    "SetWeather",
    "SetWindow",
    "SnapPoints",
    "TakeSite",
]
