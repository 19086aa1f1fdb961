"""Calendar invitations by email: who wants them, what was sent, and what came back."""

import uuid

from django.db import models


class InvitationWish(models.Model):
    """A person who asked for an email whenever their bookings change."""

    person = models.OneToOneField(
        "jobs.Person", models.CASCADE, related_name="invitation_wish"
    )
    since = models.DateTimeField()

    class Meta:
        ordering = ["person"]

    def __str__(self) -> str:
        return f"invitations for {self.person_id}"


class Invitation(models.Model):
    """One booking of one person, as their calendar was told of it (RFC 5546).

    ``sequence`` and ``changed_at`` move only when the booking does for this person; they
    are SEQUENCE and LAST-MODIFIED. ``mailed_sequence`` trails behind until the mail is
    out, so that a task told twice sends once.
    """

    class Answer(models.TextChoices):
        """What the person's calendar program sent back (PARTSTAT)."""

        NONE = "", "No answer yet"
        ACCEPTED = "accepted", "Accepted"
        TENTATIVE = "tentative", "Perhaps"
        DECLINED = "declined", "Declined"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    booking = models.ForeignKey(
        "scheduling.Booking", models.CASCADE, related_name="invitations"
    )
    person = models.ForeignKey(
        "jobs.Person", models.CASCADE, related_name="invitations"
    )
    sent_to = models.EmailField()  # the address the calendar knows them by
    told = models.JSONField(default=dict)  # days, their times and crew as last told
    sequence = models.PositiveIntegerField(default=0)
    mailed_sequence = models.IntegerField(default=-1)
    changed_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    answer = models.CharField(
        max_length=10, choices=Answer, default=Answer.NONE, blank=True
    )
    answered_at = models.DateTimeField(null=True, blank=True)
    # What came back of single days ({"2026-08-05": {"answer", "at"}}), where it differs.
    day_answers = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["booking", "person"]
        constraints = [
            models.UniqueConstraint(
                fields=["booking", "person"], name="one_invitation_per_booking"
            )
        ]

    def __str__(self) -> str:
        return f"invitation {self.uid} of {self.person_id}"
