"""Who may do what: roles, capabilities, and the table that joins them."""

from enum import StrEnum


class Role(StrEnum):
    """A part a person plays in the firm. One person may play several."""

    OFFICE = "office"
    SITE_LEAD = "site_lead"
    OWNER = "owner"
    CREW = "crew"


class Can(StrEnum):
    """A capability, named after what the person wants to do."""

    SEE_ALL_JOBS = "see all jobs"
    EDIT_JOBS = "edit jobs, clients and sites"
    EDIT_APPROVALS = "record approvals"
    EDIT_MATERIALS = "edit materials"
    EDIT_PEOPLE = "edit people and tickets"
    EDIT_ROLES = "edit roles"
    EDIT_FIRM = "edit the firm's settings"
    EDIT_LIBRARY = "edit the libraries"
    EDIT_SCHEDULE = "schedule and publish"
    SEE_SCHEDULE = "see the whole schedule"
    ORDER_DELIVERIES = "order deliveries"
    RECEIVE_DELIVERIES = "check a delivery in"
    SEE_DELIVERIES = "see the list of deliveries"
    SEE_TOOLS = "see the list of our tools"
    EDIT_PLAN = "edit the hazard plan"
    ISSUE_STATEMENT = "issue a statement"
    SIGN_ON = "sign on to a statement"
    RUN_SITE_DAY = "run the day on site"
    REPORT = "report a hazard or delay"
    RELEASE_WORK = "release work that was stopped"
    SEE_COMPLIANCE = "see compliance of all jobs"
    SEE_LEDGER = "see the ledger of all jobs"
    SHARE_CALENDARS = "hand out calendar links"


_OFFICE = frozenset(
    {
        Can.SEE_ALL_JOBS,
        Can.EDIT_JOBS,
        Can.EDIT_APPROVALS,
        Can.EDIT_MATERIALS,
        Can.EDIT_PEOPLE,
        Can.EDIT_LIBRARY,
        Can.EDIT_SCHEDULE,
        Can.SEE_SCHEDULE,
        Can.ORDER_DELIVERIES,
        Can.RECEIVE_DELIVERIES,
        Can.SEE_DELIVERIES,
        Can.SEE_TOOLS,
        Can.EDIT_PLAN,
        Can.ISSUE_STATEMENT,
        Can.SHARE_CALENDARS,
        Can.REPORT,
        Can.RELEASE_WORK,
    }
)
_SITE_LEAD = frozenset(
    {
        Can.RECEIVE_DELIVERIES,
        Can.SEE_DELIVERIES,
        Can.SIGN_ON,
        Can.RUN_SITE_DAY,
        Can.REPORT,
    }
)
_OWNER = frozenset(
    {
        Can.SEE_ALL_JOBS,
        Can.SEE_SCHEDULE,
        Can.SEE_DELIVERIES,
        Can.SEE_TOOLS,
        Can.SEE_COMPLIANCE,
        Can.SEE_LEDGER,
        Can.EDIT_ROLES,
        Can.EDIT_FIRM,
        Can.EDIT_PEOPLE,
        Can.RELEASE_WORK,
    }
)
_CREW = frozenset({Can.SIGN_ON, Can.REPORT})

GRANTS: dict[Role, frozenset[Can]] = {
    Role.OFFICE: _OFFICE,
    Role.SITE_LEAD: _SITE_LEAD,
    Role.OWNER: _OWNER,
    Role.CREW: _CREW,
}


def capabilities(roles: frozenset[Role]) -> frozenset[Can]:
    """Everything that these roles together allow."""
    return frozenset().union(*(GRANTS[role] for role in roles))


_NAMES = {
    Role.OFFICE: "the office",
    Role.SITE_LEAD: "site leads",
    Role.OWNER: "the owner",
    Role.CREW: "the crew",
}


def who_can(capability: Can) -> str:
    """Whose part it is, in words: "the office", "the office or site leads"."""
    return " or ".join(_NAMES[role] for role in Role if capability in GRANTS[role])
