"""The app as a barista holds it: a bar set up on the phone itself, and taps on what can be seen."""

import datetime as dt

from playwright.sync_api import Page, expect

NOON = dt.datetime(2026, 3, 4, 12, tzinfo=dt.UTC)

BAR = """async ({ groups, shots, language }) => {
  const { save } = await import('/outbox/save.js');
  const { setMeta } = await import('/outbox/meta.js');
  const { localIso } = await import('/outbox/time.js');
  const { write } = await import('/outbox/preferences.js');
  const day = 86_400_000;
  const now = Date.now();
  const date = (back) => new Date(now - back * day).toISOString().slice(0, 10);
  const make = async (kind, fields) => (await save([{ kind, fields }]))[0].id;

  const site = await make('site', { name: 'Lantern Quay', time_zone: 'Europe/London' });
  await setMeta('phone', { phone_id: site, site_id: site, name: 'Bar phone' });
  const ida = await make('person', { name: 'Ida' });
  await make('person', { name: 'Teo' });
  const tarn = await make('coffee', { name: 'Tarn Hollow', roaster: 'Saltmarsh Roasting' });
  const tide = await make('coffee', { name: 'Low Tide' });
  const grinder = await make('grinder', { name: 'Quay grinder', finer: 'lower', step: 0.2 });
  const bag = await make('bag', { coffee_id: tarn, roasted_on: date(13), mass_g: 1000, site_id: site });
  const second = await make('bag', { coffee_id: tarn, roasted_on: date(2), mass_g: 1000, site_id: site });
  const decaf = await make('bag', { coffee_id: tide, roasted_on: date(30), mass_g: 500, site_id: site });
  await make('bag_event', { bag_id: bag, at: localIso(now - 2 * day), what: 'opened' });
  const recipe = await make('recipe', { coffee_id: tarn, method: 'espresso', dose_g: 18.5, yield_g: 40, time_s: 27,
    time_s_tol: 3, water_temp_c: 93 });
  await make('grind_change', { grinder_id: grinder, at: localIso(now - day), setting: 4.2 });
  const made = [];
  for (let i = shots; i > 0; i -= 1) {
    made.push(await make('shot', { pulled_at: localIso(now - i * 60_000), site_id: site, dose_g: 18.5, yield_g: 40.2,
      time_s: 26 + (i % 5), first_drop_s: 6.1, bag_id: bag, recipe_id: recipe, grinder_id: grinder, setting: 4.2,
      person_id: ida, purpose: 'service', fate: i % 4 ? 'served' : 'sunk',
      assumed: i % 2 ? ['dose_g', 'yield_g'] : [] }));
  }
  await make('water', { sampled_at: localIso(now - 3 * day), site_id: site, source: 'Filtered',
    hardness: { value: 6, unit: 'dh' }, alkalinity: { value: 3.5, unit: 'dh' } });
  write('lanes', { house: { bag_id: bag, recipe_id: recipe, grinder_id: grinder }, decaf: { bag_id: decaf } });
  write('person', ida);
  write('groups', groups);
  write('language', language);
  write('started', true);
  return { site, ida, bag, second, recipe, grinder, shot: made[0] };
}"""

RECORDS = """async (kind) => (await import('/outbox/records.js')).recordsOf(kind)"""


def set_up_bar(page: Page, *, groups=1, shots=0, language="en") -> dict[str, str]:
    """A bar on this phone, not known to any server; the ids of what it has. The page must be of the app's origin."""
    return page.evaluate(BAR, {"groups": groups, "shots": shots, "language": language})


def open_app(page: Page, url: str, screen="pull") -> None:
    page.goto(f"{url}/#/{screen}")
    expect(page.locator("#top h1")).to_be_visible()


def open_at_noon(page: Page, url: str, **bar) -> Page:
    """The app on its first screen with a bar set up, and a clock that only moves when the test says so."""
    page.clock.install(time=NOON)
    page.ids = set_up_bar(page, **bar)
    open_app(page, url)
    page.clock.pause_at(NOON + dt.timedelta(hours=1))
    return page


def wait_for_all_screens(page: Page) -> None:
    """Until every screen is on the phone, as they are before a network is cut."""
    expect(page.locator("html[data-screens=all]")).to_be_attached()


def go(page: Page, screen: str) -> None:
    """To another screen, as a tap on a link does."""
    page.evaluate("(hash) => { location.hash = hash; }", f"#/{screen}")


def records(page: Page, kind: str) -> list[dict]:
    return page.evaluate(RECORDS, kind)


def shots(page: Page) -> list[dict]:
    return records(page, "shot")


def type_figure(page: Page, keys: str) -> None:
    """Types on the app's own keypad and taps Done."""
    for key in keys:
        page.locator(".pad").get_by_role("button", name=key, exact=True).tap()
    page.locator(".pad .go").tap()
