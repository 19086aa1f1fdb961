"""Files: those people hand in, and those made from the records."""

from typing import ClassVar

from django.db import models


class Document(models.Model):
    """A file somebody handed in. Never changed; a better one is a new row."""

    job = models.ForeignKey(
        "jobs.Job", models.PROTECT, null=True, blank=True, related_name="documents"
    )
    title = models.CharField(max_length=160)
    file = models.FileField(upload_to="documents/%Y/%m/")
    media_type = models.CharField(max_length=60)
    size_bytes = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)
    uploaded_by = models.ForeignKey("jobs.Person", models.PROTECT, related_name="+")
    uploaded_at = models.DateTimeField()

    class Meta:
        ordering = ["-uploaded_at", "-pk"]

    def __str__(self) -> str:
        return self.title


class RenderedFile(models.Model):
    """A file made from records, kept under the digest of what it shows."""

    kind = models.CharField(max_length=40)
    digest = models.CharField(max_length=64)
    file = models.FileField(upload_to="rendered/%Y/%m/")
    made_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["kind", "digest"], name="one_file_per_digest"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.digest[:8]}"
