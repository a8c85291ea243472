/** Which screen an address opens, and which tab it belongs to. Loaded on first use, from the phone itself. */

export const SCREENS = [
  ['/pull', () => import('./pull.js'), 'pull'],
  ['/pull/bag', () => import('./choose-bag.js')],
  ['/pull/recipe', () => import('./choose-recipe.js')],
  ['/pull/setting', () => import('./choose-setting.js')],
  ['/pull/hands', () => import('./choose-hands.js')],
  ['/taste/:id', () => import('./taste.js')],
  ['/strength/:id', () => import('./strength.js')],
  ['/fault/:id', () => import('./fault.js')],
  ['/why', () => import('./why.js')],
  ['/today', () => import('./today.js'), 'today'],
  ['/shot/:id', () => import('./shot.js')],
  ['/tally', () => import('./tally.js')],
  ['/shelf', () => import('./shelf.js'), 'shelf'],
  ['/bag/new', () => import('./bag-new.js')],
  ['/bag/:id', () => import('./bag.js')],
  ['/water', () => import('./water.js'), 'water'],
  ['/water/drops', () => import('./drop-test.js')],
  ['/setup', () => import('./setup.js'), 'setup'],
  ['/setup/phone', () => import('./setup-phone.js')],
  ['/setup/like', () => import('./setup-like.js')],
  ['/setup/cautions', () => import('./cautions.js')],
  ['/setup/:kind', () => import('./setup-list.js')],
  ['/setup/:kind/:id', () => import('./edit.js')],
  ['/waiting', () => import('./waiting.js')],
  ['/mend/:id', () => import('./mend.js')],
  ['/start', () => import('./first-run.js')],
];

export const TABS = ['pull', 'today', 'shelf', 'water', 'setup'];
