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
from scheduling.models.choices import Leaning, PlanChoice
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
from scheduling.models.plant import Plant, PlantOut

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
    "Leaning",
    "LostDay",
    "PersonSlot",
    "PlanChoice",
    "PlanHead",
    "Plant",
    "PlantOut",
    "Receipt",
    "ReceiptLine",
    "Supplier",
    "Visit",
]
