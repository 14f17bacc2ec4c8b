"""All records of a workshop. One module an idea; everything is imported from here."""

from tickover.records.models.base import Build, Change, ChangeLine, Record
from tickover.records.models.fault_search import FaultReading, FaultSearch
from tickover.records.models.inspecting import Inspection, InspectionLine, Kit, KitItem
from tickover.records.models.jobs import JobCard, JobOrder, JobPart, JobStep, NeededReading, Purchase
from tickover.records.models.loom import LoomComponent, WireEnd, WireTag
from tickover.records.models.measuring import Limit, Reading, SavedSheet
from tickover.records.models.parts import Cover, FastenerSet, LooseCount, Part, Store
from tickover.records.models.photos import Balloon, Photo
from tickover.records.models.remarks import Received, Remark
from tickover.records.models.stints import MilestoneReached, Stint

__all__ = [
    "Balloon",
    "Build",
    "Change",
    "ChangeLine",
    "Cover",
    "FastenerSet",
    "FaultReading",
    "FaultSearch",
    "Inspection",
    "InspectionLine",
    "JobCard",
    "JobOrder",
    "JobPart",
    "JobStep",
    "Kit",
    "KitItem",
    "Limit",
    "LoomComponent",
    "LooseCount",
    "MilestoneReached",
    "NeededReading",
    "Part",
    "Photo",
    "Purchase",
    "Reading",
    "Received",
    "Record",
    "Remark",
    "SavedSheet",
    "Stint",
    "Store",
    "WireEnd",
    "WireTag",
]
