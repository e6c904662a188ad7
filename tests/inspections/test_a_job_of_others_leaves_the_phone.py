"""Who is taken off a job has it on the phone no longer than until the phone has signal."""

from django.urls import reverse
from django.utils import timezone

from jobs.models import CrewMember
from tests.inspections.phones import enter, phase_url, try_again, wait_for_states
from tests.support.browsers import the_day_is_kept, wait_until

KEPT = "async (address) => Boolean(await (await caches.open('pages')).match(address))"
GONE = "async (address) => !(await (await caches.open('pages')).match(address))"
AGED = """async (address) => {
    const cache = await caches.open("pages");
    const kept = await cache.match(address);
    const headers = new Headers(kept.headers);
    headers.set("Kept-At", String(Date.now() - 3_600_000));
    await cache.put(address, new Response(await kept.blob(), { headers }));
}"""


def is_a_page(response) -> bool:
    return response.request.is_navigation_request()


def off_the_job(job, person) -> None:
    CrewMember.objects.filter(job=job, person=person).update(left_at=timezone.now())


def test_today_opened_with_signal_takes_it_off(own_database, open_phases, web_server, phone, installer):
    phase = open_phases[0]
    job = web_server + reverse("home:job", args=[phase.room.job_id])
    the_day_is_kept(phone)
    assert phone.evaluate(KEPT, job)
    assert phone.evaluate(KEPT, phase_url(web_server, phase))
    off_the_job(phase.room.job, installer)
    phone.reload()
    for address in (job, phase_url(web_server, phase)):
        wait_until(phone, GONE, address)


def test_a_page_for_which_something_waits_stays(own_database, open_phases, web_server, phone, installer):
    first, second = open_phases[:2]
    the_day_is_kept(phone)
    phone.goto(phase_url(web_server, first))
    phone.context.set_offline(True)
    enter(phone, first.checks.filter(kind="tick").first())
    wait_for_states(phone, "waiting")
    off_the_job(first.room.job, installer)
    phone.route("**/entry/", lambda route: route.abort())
    phone.goto(f"{web_server}/today/")
    phone.context.set_offline(False)
    phone.reload()
    wait_until(phone, GONE, phase_url(web_server, second))
    assert phone.evaluate(KEPT, phase_url(web_server, first))


def test_what_was_opened_besides_stays_as_long_as_the_job_is_theirs(own_database, open_phases, web_server, phone):
    """Opened yesterday, needed today: it isn't among the day's pages."""
    besides = phase_url(web_server, open_phases[0]) + "?from=yesterday"
    phone.goto(besides)
    wait_until(phone, KEPT, besides)
    phone.evaluate(AGED, besides)
    kept_at = f"async () => (await (await caches.open('pages')).match('{besides}')).headers.get('Kept-At')"
    before = phone.evaluate(kept_at)
    phone.goto(f"{web_server}/today/")
    the_day_is_kept(phone)
    # Not renewed, so that it goes after its seven days.
    assert phone.evaluate(kept_at) == before


def test_a_slow_server_that_shows_it_no_more_is_asked_once_and_heard(
    own_database, open_phases, web_process, phone, installer
):
    _process, url = web_process
    address = phase_url(url, open_phases[0])
    the_day_is_kept(phone)
    phone.evaluate(AGED, address)
    off_the_job(open_phases[0].room.job, installer)
    asked = []

    def slow(route) -> None:
        asked.append(route.request.url)
        phone.wait_for_timeout(1500)
        route.continue_()

    phone.context.route(address, slow)
    phone.goto(address)
    phone.get_by_text("Nothing here").first.wait_for()
    phone.wait_for_timeout(3000)
    assert len(asked) == 2
    assert phone.evaluate(GONE, address)


def test_a_log_in_that_ended_on_a_slow_server_shows_the_kept_page_and_is_still(
    own_database, open_phases, web_process, phone
):
    _process, url = web_process
    address = phase_url(url, open_phases[0])
    the_day_is_kept(phone)
    phone.evaluate(AGED, address)
    phone.context.clear_cookies()
    loads = []
    phone.on("response", lambda response: loads.append(response.url) if is_a_page(response) else None)

    def slow(route) -> None:
        phone.wait_for_timeout(1500)
        route.continue_()

    phone.context.route(address, slow)
    phone.goto(address)
    phone.wait_for_timeout(5000)
    assert loads == [address]
    try_again(phone)
    assert phone.evaluate(KEPT, address)
