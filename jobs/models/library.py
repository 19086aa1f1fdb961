"""Libraries kept as YAML text: methods, hazards. Shipped in fixtures/, edited here."""

from django.db import models


class LibraryText(models.Model):
    """One library file. ``shipped_digest`` tells an edited text from a shipped one.

    ``shipped_text`` is the shipped text that this one was made from, empty when it is
    not known or the firm made the file itself.
    """

    kind = models.CharField(max_length=20)  # "method", "hazards"
    key = models.SlugField(max_length=80)
    text = models.TextField()
    digest = models.CharField(max_length=64, editable=False)
    shipped_digest = models.CharField(max_length=64, blank=True, editable=False)
    shipped_text = models.TextField(blank=True, editable=False)
    edited_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["kind", "key"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "key"], name="library_text_key")
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.key}"

    @property
    def is_edited(self) -> bool:
        """Whether the firm changed it since it was shipped."""
        return self.digest != self.shipped_digest
