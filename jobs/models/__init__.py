"""Records of the base app, a module a noun."""

from jobs.models.approvals import Approval, ApprovalEvent, ApprovalKind
from jobs.models.background import BackgroundRun
from jobs.models.clients import Client, Site
from jobs.models.documents import Document, RenderedFile
from jobs.models.firm import Firm
from jobs.models.jobs import (
    STRUCTURE_NAMES,
    FactsRevision,
    Job,
    JobDimensions,
    JobQuerySet,
)
from jobs.models.ledger import LedgerDay, LedgerEntry, LedgerHead
from jobs.models.library import LibraryText
from jobs.models.materials import BomLine
from jobs.models.people import Person, PersonManager, Ticket
from jobs.models.pins import SitePin
from jobs.models.rates import RateDecision
from jobs.models.tasks import Task, TaskLink

__all__ = [
    "STRUCTURE_NAMES",
    "Approval",
    "ApprovalEvent",
    "ApprovalKind",
    "BackgroundRun",
    "BomLine",
    "Client",
    "Document",
    "FactsRevision",
    "Firm",
    "Job",
    "JobDimensions",
    "JobQuerySet",
    "LedgerDay",
    "LedgerEntry",
    "LedgerHead",
    "LibraryText",
    "Person",
    "PersonManager",
    "RateDecision",
    "RenderedFile",
    "Site",
    "SitePin",
    "Task",
    "TaskLink",
    "Ticket",
]
