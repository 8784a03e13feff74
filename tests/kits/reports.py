"""Delivery reports as a mail server writes them (RFC 3464), with any part changed."""

ORIGINAL = """From: Field notebook <notebook@flax.example.org>
To: ann@example.org
Subject: {subject}
Message-ID: {message_id}
"""


def report(
    *,
    action="failed",
    status="5.1.1",
    said="smtp; 550 5.1.1 User unknown",
    original="message/rfc822",
    subject="Tomorrow evening",
    message_id="<letter.1@flax.example.org>",
    address="ann@example.org",
    reader="",
    first="",
):
    """Return the bytes of a report on one letter to one reader."""
    about = [
        reader,
        f"Final-Recipient: rfc822; {'elsewhere@example.net' if reader else address}",
        f"Action: {action}" if action else "",
        f"Status: {status}" if status else "",
        f"Diagnostic-Code: {said}" if said else "",
    ]
    groups = ["Reporting-MTA: dns; mx.example.org", first]
    groups.append("\n".join(line for line in about if line))
    parts = [
        "Content-Type: text/plain\n\nIt could not be delivered.\n",
        "Content-Type: message/delivery-status\n\n"
        + "\n\n".join(group for group in groups if group)
        + "\n",
    ]
    if original:
        headers = ORIGINAL.format(subject=subject, message_id=message_id)
        parts.append(f"Content-Type: {original}\n\n{headers}\nCome at seven.\n")
    body = "".join(f"--cut\n{part}\n" for part in parts)
    head = (
        "From: MAILER-DAEMON@mx.example.org\nTo: notebook@flax.example.org\n"
        "Subject: Undelivered\nMIME-Version: 1.0\nContent-Type: multipart/report;"
        ' report-type=delivery-status; boundary="cut"\n\n'
    )
    return f"{head}{body}--cut--\n".encode()
