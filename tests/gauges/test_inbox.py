"""The queue between a gauge's thread and its owner."""

from __future__ import annotations

import threading

from cockpit.gauges import Reject, Sample
from cockpit.gauges.inbox import Inbox


def sample(number: int) -> Sample:
    return Sample(float(number), float(number), str(number))


def test_what_is_put_comes_out_once_and_in_order() -> None:
    inbox = Inbox()
    inbox.put([sample(1), sample(2)])
    inbox.put([sample(3)])
    assert inbox.drain() == [sample(1), sample(2), sample(3)]
    assert inbox.drain() == []


def test_a_full_inbox_loses_the_oldest_and_says_so_once() -> None:
    inbox = Inbox(room=3)
    inbox.put(sample(number) for number in range(5))
    lost, *kept = inbox.drain()
    assert lost == Reject(1.0, "", "2 readings were lost, because nobody collected them in time.")
    assert kept == [sample(2), sample(3), sample(4)]
    inbox.put([sample(5)])
    assert inbox.drain() == [sample(5)]


def test_an_hour_at_50_hz_fits() -> None:
    inbox = Inbox()
    inbox.put(sample(number) for number in range(3600 * 50))
    assert len(inbox.drain()) == 3600 * 50


def test_nothing_is_lost_or_doubled_between_two_threads() -> None:
    inbox = Inbox()
    sent = [sample(number) for number in range(20_000)]

    def send() -> None:
        for item in sent:
            inbox.put([item])

    thread = threading.Thread(target=send)
    thread.start()
    got: list[Sample | Reject] = []
    while thread.is_alive():
        got += inbox.drain()
    thread.join()
    assert got + inbox.drain() == sent
