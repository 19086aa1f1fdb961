"""The ledger: one chain of entries a job, and one for the firm."""

from django.db import models


class LedgerHead(models.Model):
    """The last entry of a chain. Its row lock puts writers of one chain in line."""

    chain = models.CharField(max_length=40, unique=True)
    length = models.PositiveIntegerField(default=0)
    digest = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"{self.chain} ({self.length})"


class LedgerEntry(models.Model):
    """One thing that happened. The database refuses to change or delete it."""

    chain = models.CharField(max_length=40)
    number = models.PositiveIntegerField()
    at = models.DateTimeField()
    actor = models.ForeignKey(
        "jobs.Person", models.PROTECT, null=True, related_name="+"
    )
    actor_name = models.CharField(max_length=120)  # as it was then
    verb = models.CharField(max_length=60)
    subject = models.CharField(max_length=80)  # "jobs.approval:12"
    payload = models.TextField()  # canonical JSON, byte for byte what was hashed
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["chain", "number"]
        verbose_name_plural = "ledger entries"
        constraints = [
            models.UniqueConstraint(
                fields=["chain", "number"], name="ledger_numbered_per_chain"
            )
        ]
        indexes = [
            models.Index(fields=["-at"], name="ledger_by_time"),
            models.Index(fields=["verb", "-at"], name="ledger_by_verb"),
        ]

    def __str__(self) -> str:
        return f"{self.chain} #{self.number} {self.verb}"


class LedgerDay(models.Model):
    """A day's Merkle root over the digests of that day's entries (RFC 6962)."""

    day = models.DateField(unique=True)
    entries = models.PositiveIntegerField()
    root = models.CharField(max_length=64)
    closed_at = models.DateTimeField()

    class Meta:
        ordering = ["-day"]

    def __str__(self) -> str:
        return f"{self.day} {self.root[:8]}"
