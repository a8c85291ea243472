"""When a phone tries: whenever it makes sense, less and less often while it fails, and one tab at a time."""

import json

import pytest

ROUND = "**/api/sync"
START = "async () => (await import('/sync/schedule.js')).startSync()"
STATUS = "async () => (await import('/sync/status.js')).status.current"
OUTCOME = """async (wanted) => {
  const { status } = await import('/sync/status.js');
  if (!status.current.syncing && status.current.outcome === wanted) return;
  await new Promise((resolve) => status.addEventListener('change', () => {
    if (!status.current.syncing && status.current.outcome === wanted) resolve();
  }));
}"""


@pytest.fixture
def paired(make_phone):
    return make_phone()


def until(paired, outcome):
    paired.page.evaluate(OUTCOME, outcome)


def count_rounds(paired, answer=lambda route: route.continue_()):
    """Notes every round that leaves the page; `answer` may be swapped while it counts."""
    rounds = []

    def note(route):
        rounds.append(route)
        rounds_answer[0](route)

    rounds_answer = [answer]
    paired.page.route(ROUND, note)
    return rounds, lambda other: rounds_answer.__setitem__(0, other)


def dead(route):
    route.abort("connectionrefused")


def resting(seconds):
    def answer(route):
        headers = {"Content-Type": "application/problem+json", "Retry-After": str(seconds)}
        route.fulfill(status=503, headers=headers, body=json.dumps({"status": 503}))

    return answer


def test_it_syncs_at_the_start_and_says_how_it_stands(paired, bar):
    paired.shot()
    paired.page.evaluate(START)
    until(paired, "delivered")

    status = paired.page.evaluate(STATUS)
    assert (status["waiting"], status["refused"], status["syncing"]) == (0, 0, False)
    assert status["last_sync_at"]
    assert len(bar.stored_ids()) == 1


@pytest.mark.parametrize(
    "occasion", ["window, 'online'", "window, 'pageshow'", "document, 'visibilitychange'"]
)
def test_it_tries_at_once_when_the_network_or_the_page_comes_back(paired, occasion):
    rounds, answer = count_rounds(paired, dead)
    paired.page.evaluate(START)
    until(paired, "no_network")
    answer(lambda route: route.continue_())
    paired.page.clock.install()  # no timer from here on

    target, name = occasion.split(", ")
    paired.page.evaluate(f"() => {target}.dispatchEvent(new Event({name}))")
    until(paired, "delivered")

    assert len(rounds) == 2


def test_a_dead_server_raises_no_event_so_a_timer_tries_again(paired):
    paired.page.clock.install()
    rounds, answer = count_rounds(paired, dead)
    paired.page.evaluate(START)
    until(paired, "no_network")
    answer(lambda route: route.continue_())

    paired.page.clock.run_for(1_000)  # the first wait is at most a second
    until(paired, "delivered")

    assert len(rounds) == 2


def test_a_server_that_asks_for_a_rest_gets_it_whoever_asks(paired):
    paired.page.clock.install()
    rounds, answer = count_rounds(paired, resting(120))
    paired.page.evaluate(START)
    until(paired, "slow_down")
    answer(lambda route: route.continue_())

    paired.call("/sync/schedule.js", "syncNow")
    paired.page.clock.run_for(110_000)
    assert len(rounds) == 1

    paired.page.clock.run_for(11_000)
    until(paired, "delivered")
    assert len(rounds) == 2


def test_a_save_while_a_sync_runs_is_sent_by_one_more(paired, bar):
    paired.page.evaluate(
        """async () => {
          const { syncNow } = await import('/sync/schedule.js');
          window.first = syncNow();
        }"""
    )
    paired.shot()
    paired.page.evaluate("async () => { (await import('/sync/schedule.js')).syncNow(); await window.first; }")

    assert len(bar.stored_ids()) == 1


def test_of_two_tabs_one_syncs_and_the_other_hears_of_it(paired, bar):
    other = paired.context.new_page()
    other.goto(f"{bar.url}/outbox/version.js")
    held = []
    paired.page.route(ROUND, lambda route: held.append(route))
    theirs = []
    other.route(ROUND, lambda route: (theirs.append(route), route.continue_()))
    other.evaluate(
        """async () => {
          const { changes, listenToOtherTabs } = await import('/outbox/changes.js');
          listenToOtherTabs();
          window.heard = new Promise((resolve) => changes.addEventListener('taken', () => resolve(true)));
        }"""
    )
    paired.shot()
    paired.page.evaluate("async () => { window.first = (await import('/sync/schedule.js')).syncNow(); }")
    while not held:
        paired.page.wait_for_timeout(10)

    other.evaluate("async () => (await import('/sync/schedule.js')).syncNow()")
    assert theirs == []

    held[0].continue_()
    assert other.evaluate("() => window.heard")
    assert len(bar.stored_ids()) == 1


def test_a_storage_that_fails_while_an_answer_is_taken_is_said_so(paired):
    paired.page.evaluate(
        """() => {
          IDBObjectStore.prototype.put = function () { throw new DOMException('no room', 'QuotaExceededError'); };
        }"""
    )
    paired.page.evaluate(START)
    until(paired, "storage")

    assert paired.page.evaluate(STATUS)["outcome"] == "storage"


WAITS = """async ([failures, draws]) => {
  const { backoffMs } = await import('/sync/backoff.js');
  return draws.map((draw) => backoffMs(failures, () => draw));
}"""


@pytest.mark.parametrize(
    ("failures", "longest_ms"), [(1, 1_000), (2, 2_000), (5, 16_000), (9, 256_000), (40, 300_000)]
)
def test_the_wait_is_drawn_from_nothing_up_to_a_bound_that_doubles_to_five_minutes(
    page, failures, longest_ms
):
    """Full jitter, `random(0, min(cap, base * 2^attempt))`: M. Brooker, Exponential backoff and jitter, AWS
    Architecture Blog, 2015; base and cap are this app's."""
    assert page.evaluate(WAITS, [failures, [0, 0.5, 0.999999]]) == [0, longest_ms / 2, longest_ms - 1]


@pytest.mark.parametrize(
    ("text", "wait_ms"),
    [
        ("120", 120_000),
        ("Fri, 31 Dec 1999 23:59:59 GMT", 59_000),
        ("Fri, 31 Dec 1999 23:00:00 GMT", 0),
        ("soon", None),
        (None, None),
    ],
)
def test_retry_after_is_read_as_seconds_or_as_a_date(page, text, wait_ms):
    """RFC 9110, section 10.2.3, whose two examples these are; now is a minute before the second one's midnight."""
    read = "async (text) => (await import('/sync/backoff.js')).retryAfterMs(text, Date.UTC(1999, 11, 31, 23, 59))"
    assert page.evaluate(read, text) == wait_ms
