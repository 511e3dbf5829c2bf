"""One frozen site in many threads."""

import sys
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

import blondel


def test_one_site_in_many_threads(mill):
    def audit(_):
        view = mill.view()
        return mill.digest(), tuple(f.identity for f in blondel.check(view)), len(view.circuit)

    with ThreadPoolExecutor(8) as pool:
        results = list(pool.map(audit, range(32)))
    assert len(set(results)) == 1


def test_freed_in_another_thread(one_panel_text):
    held = [blondel.Site.read(one_panel_text).view() for _ in range(20)]
    thread = threading.Thread(target=held.clear)
    thread.start()
    thread.join()
    assert held == []


def lets_others_run(call):
    """Whether a thread that waits for the GIL gets it while the call runs: with the switch interval at its
    longest, only a call that lets it go gives it the chance."""
    ready, gate, done = threading.Event(), threading.Lock(), []

    def other():
        ready.set()
        with gate:
            done.append(True)

    thread = threading.Thread(target=other)
    before = sys.getswitchinterval()
    gate.acquire()
    thread.start()
    ready.wait()
    sys.setswitchinterval(1000)
    try:
        gate.release()
        call()
        return bool(done)
    finally:
        sys.setswitchinterval(before)
        thread.join()


def test_other_threads_run_during_a_long_call(one_panel_text):
    big = one_panel_text.rstrip().rstrip("}") + ',"ext":{"pad":[' + ",".join(["[1,2,3]"] * 400000) + "]}}"
    assert lets_others_run(lambda: blondel.Site.read(big))
    # The probe itself can say no: this call is short and holds the GIL.
    assert not lets_others_run(lambda: blondel.kinds())


def test_progress_and_cancel(mill):
    calls = []
    blondel.check(mill.view(), progress=lambda done, total: calls.append((done, total)))
    assert calls
    assert all(done <= total for done, total in calls if total)
    with pytest.raises(blondel.CancelledError):
        blondel.check(mill.view(), progress=lambda done, total: True)


def test_exception_of_the_progress_callable_comes_through(mill):
    def fail(done, total):
        raise ZeroDivisionError("ours")

    with pytest.raises(ZeroDivisionError, match="ours"):
        blondel.check(mill.view(), progress=fail)
