"""Who may save into the folder: the page that came by the address which was given out, and no other.

The address carries its key after the #, which browsers send to no server, so that neither a log nor a Referer has it.
It is good for one entrance: an address that is seen later, in a list of processes or a history, opens nothing. Whoever
enters gets another key, which goes in a header of our own: a page from elsewhere cannot know it, and no browser lets it
send such a header unasked. A cookie would do less: it goes to every server of this machine, at any port.
"""

from __future__ import annotations

import secrets
import threading

LETTERS = 32  # bytes of chance in a key: none is found by trying


class Keys:
    """The key in the address, until it is used, and the one of the page that has entered."""

    def __init__(self) -> None:
        self.given = secrets.token_urlsafe(LETTERS)
        self._page = secrets.token_urlsafe(LETTERS)
        self._used = False
        self._lock = threading.Lock()

    def enter(self, key: str) -> str | None:
        """The key of the page, for the one in the address; None for another, and for that one the second time."""
        with self._lock:
            if self._used or not _same(key, self.given):
                return None
            self._used = True
            return self._page

    def fits(self, key: str) -> bool:
        """Whether this is the key of the page that has entered."""
        return self._used and _same(key, self._page)


def _same(one: str, other: str) -> bool:
    return secrets.compare_digest(one.encode(), other.encode())
