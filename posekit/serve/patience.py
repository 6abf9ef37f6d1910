"""Connections that dawdle: each has so long to ask and so long to take what it asked for, and stops no other."""

from __future__ import annotations

import asyncio
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from posekit.budgets import ANSWER_S, CONNECTIONS, REQUEST_S
from posekit.serve.headers import ANEW, HEADERS

ASKING = (h11.IDLE, h11.SEND_BODY)  # states of a browser whose request is not whole yet
PROTOCOL_FAULTS = {"Content-Type": "text/plain; charset=utf-8", "Cache-Control": ANEW, **HEADERS}


class PatientProtocol(H11Protocol):
    """uvicorn's protocol, with limits for how long a connection may be waited for. uvicorn takes a class here."""

    request_s, answer_s, most = REQUEST_S, ANSWER_S, CONNECTIONS

    def __init__(self, *args: Any, **given: Any) -> None:
        super().__init__(*args, **given)
        self._waits_to_ask: asyncio.TimerHandle | None = None
        self._waits_to_take: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a request. Where there are too many, the one that has waited longest goes."""
        super().connection_made(transport)
        self._waits_to_ask = self._in(self.request_s)
        if len(self.connections) > self.most:
            waiting = [
                each for each in self.connections if isinstance(each, PatientProtocol) and each.is_asking
            ]
            min(waiting or [self], key=lambda each: each.waits_until).transport.abort()

    @property
    def is_asking(self) -> bool:
        """Whether the connection has sent no whole request that waits for its answer."""
        return self._waits_to_ask is not None or self.timeout_keep_alive_task is not None

    @property
    def waits_until(self) -> float:
        """When the wait for its request is over, on the clock of the loop."""
        wait = self._waits_to_ask or self.timeout_keep_alive_task
        return wait.when() if wait else 0.0

    def data_received(self, data: bytes) -> None:
        """Take bytes of a request; a request that is not whole yet gets no more time by them."""
        super().data_received(data)
        if self.conn.their_state not in ASKING:
            self._has_asked()
        elif self._waits_to_ask is None:
            self._waits_to_ask = self._in(self.request_s)

    def pause_writing(self) -> None:
        """Begin to wait until the browser takes what was sent."""
        super().pause_writing()
        self._waits_to_take = self._in(self.answer_s)

    def resume_writing(self) -> None:
        """The browser took it."""
        super().resume_writing()
        self._has_taken()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no longer."""
        super().connection_lost(exc)
        self._has_asked()
        self._has_taken()

    def send_400_response(self, msg: str) -> None:
        """Answer what is no HTTP, with the headers that every answer has."""
        content = msg.encode()
        about = {**PROTOCOL_FAULTS, "Content-Length": str(len(content)), "Connection": "close"}
        headers = [(name.encode(), value.encode()) for name, value in about.items()]
        for event in (h11.Response(status_code=400, headers=headers), h11.Data(content), h11.EndOfMessage()):
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()

    def _has_asked(self) -> None:
        if self._waits_to_ask is not None:
            self._waits_to_ask.cancel()
            self._waits_to_ask = None

    def _has_taken(self) -> None:
        if self._waits_to_take is not None:
            self._waits_to_take.cancel()
            self._waits_to_take = None

    def _in(self, seconds: float) -> asyncio.TimerHandle:
        return self.loop.call_later(seconds, self.transport.abort)
