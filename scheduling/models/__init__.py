"""Records of scheduling, a module a noun."""

from scheduling.models.bookings import (
    BookedDay,
    Booking,
    CrewSlot,
    Draft,
    DraftBooking,
    PersonSlot,
    PlanHead,
    Visit,
)
from scheduling.models.crews import (
    Absence,
    Closure,
    Crew,
    CrewMember,
    Half,
    LostDay,
)
from scheduling.models.deliveries import (
    Delivery,
    DeliveryLine,
    Receipt,
    ReceiptLine,
    Supplier,
)
from scheduling.models.feeds import FeedLink
from scheduling.models.forecasts import Forecast
from scheduling.models.invitations import Invitation, InvitationWish

__all__ = [
    "Absence",
    "BookedDay",
    "Booking",
    "Closure",
    "Crew",
    "CrewMember",
    "CrewSlot",
    "Delivery",
    "DeliveryLine",
    "Draft",
    "DraftBooking",
    "FeedLink",
    "Forecast",
    "Half",
    "Invitation",
    "InvitationWish",
    "LostDay",
    "PersonSlot",
    "PlanHead",
    "Receipt",
    "ReceiptLine",
    "Supplier",
    "Visit",
]
