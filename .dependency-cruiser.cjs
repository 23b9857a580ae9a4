/** Who may import whom: the walls of the house, checked in every test run. DEVELOPERS.md says why they stand where they stand. */

const forbid = (name, comment, from, to) => ({ name, comment, severity: 'error', from, to })
const within = (...folders) => folders.map((folder) => `^${folder}`)

/** A package of npm, and where alone it may be imported. Tests may import any. */
const rooms = {
  'better-sqlite3': '^gateway/store/sqlite',
  aedes: '^gateway/mqtt/',
  'aedes-persistence': '^gateway/mqtt/',
  mqtt: '^(gateway/mqtt|simulators)/',
  fastify: '^gateway/http/',
  '@fastify/[^/]+': '^gateway/http/',
  ws: '^gateway/(http|live)/',
  'prom-client': '^gateway/(http/|metrics\\.ts)',
  pino: '^gateway/log\\.ts',
  nodemailer: '^gateway/mail/',
  'csv-parse': '^gateway/bring/',
  cborg: '^gateway/intake/formats/senml/',
  protobufjs: '^gateway/intake/formats/sparkplug/',
  'temporal-polyfill': '^gateway/(zone\\.ts|bring/)',
  svelte: '^dashboard/',
  uplot: '^dashboard/',
}

const onlyInItsRoom = Object.entries(rooms).map(([dependency, room]) =>
  forbid(
    `one-room-for-${dependency.replace(/\W+/g, '-').replace(/^-|-$/g, '')}`,
    `${dependency} is spoken to in one room only; everybody else meets our own words for it.`,
    { pathNot: [room, '^tests/'] },
    { path: `node_modules/(@types/)?${dependency}/` },
  ),
)

/** The river runs one way: a room never calls one that lies upstream of it, and the store knows nobody.
 *  The shape of what comes in (mqtt/inlet.ts) is a seam: it may be known downstream, what stands behind it may not. */
const river = {
  mqtt: ['store', 'foreman', 'live', 'record', 'http', 'mail'],
  intake: ['mqtt', 'foreman', 'live', 'record', 'http', 'mail'],
  store: ['mqtt', 'intake', 'foreman', 'live', 'record', 'http', 'mail'],
  foreman: ['mqtt', 'intake', 'record', 'http', 'mail'],
  bring: ['mqtt', 'intake', 'store', 'foreman', 'live', 'record', 'http', 'mail'],
  live: ['mqtt', 'intake', 'foreman', 'record', 'http', 'mail'],
  record: ['mqtt', 'intake', 'store', 'foreman', 'live', 'http', 'mail'],
  upkeep: ['mqtt', 'intake', 'foreman', 'live', 'record', 'http', 'mail'],
  mail: ['mqtt', 'intake', 'foreman', 'live', 'http'],
  http: ['mqtt', 'mail'],
}

const riverRules = Object.entries(river).map(([room, closed]) =>
  forbid(
    `river-${room}`,
    `gateway/${room} does not know ${closed.join(', ')}.`,
    { path: `^gateway/${room}/` },
    { path: `^gateway/(${closed.join('|')})/`, pathNot: '^gateway/mqtt/inlet\\.ts$' },
  ),
)

const strangers = ['gateway', 'dashboard', 'simulators'].map((house) =>
  forbid(
    `strangers-${house}`,
    'gateway, dashboard and simulators are strangers who meet in shared; nobody imports tests.',
    { path: `^${house}/` },
    { path: '^(gateway|dashboard|simulators|tests)/', pathNot: `^${house}/` },
  ),
)

module.exports = {
  forbidden: [
    forbid(
      'shared-is-pure',
      'shared imports only itself and zod: no clock, no socket, nothing of Node.',
      { path: '^shared/' },
      { pathNot: ['^shared/', 'node_modules/zod/'] },
    ),
    forbid(
      'physics-knows-no-noun',
      'A law of nature knows no station, recipe or run.',
      { path: '^shared/physics/' },
      { path: '^shared/', pathNot: within('shared/physics/', 'shared/time\\.ts') },
    ),
    forbid(
      'contract-knows-no-opinion',
      'The contract knows neither judge, series nor words, nor physics.',
      { path: '^shared/contract/' },
      { path: '^shared/(judge|series|words|physics)/' },
    ),
    forbid(
      'series-and-words-know-no-judge',
      'A drawing and a sentence do not decide.',
      { path: '^shared/(series|words)/' },
      { path: '^shared/judge/' },
    ),
    forbid(
      'judge-has-no-words',
      'The judge decides; how it is said is a matter of words.',
      { path: '^shared/judge/' },
      { path: '^shared/words/' },
    ),
    forbid(
      'one-door-contract',
      'From outside, only the door of the contract is visible.',
      { pathNot: ['^shared/contract/', '^tests/'] },
      { path: '^shared/contract/', pathNot: '^shared/contract/index\\.ts$' },
    ),
    forbid(
      'one-door-judge',
      'From outside, only the door of the judge is visible.',
      { pathNot: ['^shared/judge/', '^tests/'] },
      { path: '^shared/judge/', pathNot: '^shared/judge/index\\.ts$' },
    ),
    ...strangers,
    ...riverRules,
    forbid(
      'mqtt-and-intake-do-not-judge',
      'A reading is acknowledged without waiting for an opinion.',
      { path: '^gateway/(mqtt|intake|store)/' },
      { path: '^shared/judge/' },
    ),
    forbid(
      'bodies-meet-in-assemble',
      'The bodies of a seam (memory, sqlite; broker, subscriber) are named only where the house is put together: main chooses, assemble joins.',
      { path: '^gateway/', pathNot: ['^gateway/(main|assemble|command)\\.ts$', '^gateway/(command|store|mqtt)/'] },
      { path: '^gateway/(store/(memory|sqlite|postgres)|mqtt/(broker|subscriber))' },
    ),
    forbid(
      'store-bodies-are-strangers',
      'One body of the store does not lean on another.',
      { path: '^gateway/store/(memory|sqlite)' },
      { path: '^gateway/store/(memory|sqlite)', pathNot: '^gateway/store/$1' },
    ),
    forbid(
      'drawings-never-fetch',
      'parts, chart and words of the dashboard show what they are handed.',
      { path: '^dashboard/(parts|chart|words)/' },
      { path: '^dashboard/feed/(socket|api)' },
    ),
    ...onlyInItsRoom,
    forbid(
      'no-ring',
      'Rooms in a ring cannot be understood one by one.',
      {},
      { circular: true, viaOnly: { pathNot: 'node_modules' } },
    ),
    forbid(
      'no-orphan',
      'A file that nobody imports and that starts nothing is not needed.',
      {
        orphan: true,
        path: '^(gateway|shared|simulators|dashboard)/',
        pathNot: [
          '\\.d\\.ts$',
          '\\.mjs$',
          '^dashboard/(vite|svelte)\\.config\\.(ts|js)$',
          '^gateway/(main|command)\\.ts$',
        ],
      },
      {},
    ),
    forbid('resolvable', 'An import that leads nowhere.', {}, { couldNotResolve: true }),
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['import', 'svelte', 'node', 'default', 'types'],
    },
  },
}
