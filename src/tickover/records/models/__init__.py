"""All records of a workshop. One module an idea; everything is imported from here."""

from tickover.records.models.base import Build, Change, ChangeLine, Record
from tickover.records.models.fault_search import FaultReading, FaultSearch
from tickover.records.models.jobs import JobCard, JobOrder, JobPart, JobStep, NeededReading, Purchase
from tickover.records.models.loom import LoomComponent, WireEnd, WireTag
from tickover.records.models.measuring import Limit, Reading, SavedSheet
from tickover.records.models.parts import Cover, FastenerSet, Part, Store
from tickover.records.models.photos import Balloon, Photo
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
    "JobCard",
    "JobOrder",
    "JobPart",
    "JobStep",
    "Limit",
    "LoomComponent",
    "MilestoneReached",
    "NeededReading",
    "Part",
    "Photo",
    "Purchase",
    "Reading",
    "Record",
    "SavedSheet",
    "Stint",
    "Store",
    "WireEnd",
    "WireTag",
]
