"""How the browser of the computer that runs the server is let in, without a code and without a password."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading


class LocalKey:
    """The one-time token that lets the browser of this computer in, and the sessions that it made.

    Kept in memory only: with the server its sessions end.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._token: str | None = None
        self._sessions: set[str] = set()

    def token(self) -> str:
        """A new token; the one before it is good no longer."""
        with self._lock:
            self._token = secrets.token_urlsafe(24)
            return self._token

    def redeem(self, token: str) -> str | None:
        """The secret of a new session; None for a wrong token or one that was used."""
        with self._lock:
            if self._token is None or not hmac.compare_digest(self._token.encode(), token.encode(errors="replace")):
                return None
            self._token = None
            secret = secrets.token_urlsafe(32)
            self._sessions.add(_digest(secret))
            return secret

    def knows(self, secret: str) -> bool:
        """Whether the secret is of a session; only its hash is looked up."""
        return _digest(secret) in self._sessions

    def forget(self, secret: str) -> None:
        """End a session."""
        with self._lock:
            self._sessions.discard(_digest(secret))


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode(errors="replace")).hexdigest()
