"""The rules that plans were made from, text by text, so that a past day stays judged."""

from django.db import models


class RulesRevision(models.Model):
    """Hazard library, packs and risk method as they stood from one moment on.

    Append-only. Without it an edit of the library today would change what a plan of last
    month should have said, and work of last month would turn into a breach.
    """

    digest = models.CharField(max_length=64)
    texts = models.JSONField()  # {"hazards": {...}, "packs": {...}, "risk": ..., ...}
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["-at"], name="rules_by_time")]

    def __str__(self) -> str:
        return f"rules {self.digest[:8]} from {self.at}"
