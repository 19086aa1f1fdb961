"""Mail that scheduling sends."""

from django.core.mail import EmailMultiAlternatives


def mail_invitation(
    *,
    to: str,
    replies_to: str,
    subject: str,
    text: str,
    calendar: bytes,
    method: str,
    attempt: str,
) -> None:
    """One invitation or withdrawal as iMIP has it (RFC 6047, section 2.4).

    The calendar part stands beside the plain text and names its METHOD. ``attempt`` makes
    the Message-ID, so that a mail that went out twice is shown once.
    """
    mail = EmailMultiAlternatives(
        subject=subject,
        body=text,
        to=[to],
        reply_to=[replies_to],
        headers={"Message-ID": f"<{attempt}>"},
    )
    kind = f'text/calendar; method={method}; component="VEVENT"'
    mail.attach_alternative(calendar.decode(), kind)
    mail.send()
