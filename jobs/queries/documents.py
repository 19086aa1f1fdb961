"""Files that are kept."""

from jobs.models import RenderedFile


def rendered_file(kind: str, digest: str) -> RenderedFile | None:
    """The file made from records with this digest, if it was made. One query."""
    return RenderedFile.objects.filter(kind=kind, digest=digest).first()
