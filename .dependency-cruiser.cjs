/**
 * The walls of the house (DEVELOPERS.md): a folder of lib may import only from floors below it or from itself, and
 * plain files stay pure. Checked by `npm run walls`.
 */

/** From the top down; folders on one floor stand beside each other and do not import one another. */
const FLOORS = [
  ['books'],
  ['floor'],
  ['planning'],
  ['methods', 'orders'],
  ['costing'],
  ['artwork'],
  ['shop', 'stock'],
  ['units'],
]

const either = names => `(${names.join('|')})`
const PLAIN = { path: '^lib/', pathNot: ['^lib/server/', '/store\\.ts$', '\\.worker\\.ts$'] }
/** Artwork is files: one file reads and writes them, one hands them to worker threads. Neither holds a rule. */
const MACHINE_BORDERS = ['^lib/artwork/(files|desk)\\.ts$']

const floorRules = FLOORS.flatMap((folders, floor) =>
  folders
    .map(folder => {
      const forbidden = FLOORS.slice(0, floor + 1)
        .flat()
        .filter(other => other !== folder)
      return {
        name: `floor-${folder}`,
        comment:
          `lib/${folder} stands below or beside what it imports here: move the caller up, or pass in what it needs ` +
          'as a plain value.',
        severity: 'error',
        from: { path: `^lib/${folder}/` },
        to: { path: `^lib/${either(forbidden)}/` },
        empty: forbidden.length === 0,
      }
    })
    .filter(rule => !rule.empty)
    .map(({ empty, ...rule }) => rule),
)

/** @type {import('dependency-cruiser').IConfiguration} */
module.exports = {
  forbidden: [
    ...floorRules,
    {
      name: 'server-below-the-trade',
      comment:
        'lib/server knows no trade: pass in what it needs, or move this file to the folder it is about.',
      severity: 'error',
      from: { path: '^lib/server/' },
      to: { path: `^lib/${either(FLOORS.flat().filter(folder => folder !== 'units'))}/` },
    },
    {
      name: 'lib-below-app',
      comment: 'lib knows no screens: move the shared part into lib, and let app import it.',
      severity: 'error',
      from: { path: '^lib/' },
      to: { path: '^app/' },
    },
    {
      name: 'engine-knows-no-shop',
      comment:
        'The engine knows only stations, steps and minutes: turn orders into steps in lib/planning/steps.ts.',
      severity: 'error',
      from: { path: '^lib/planning/engine/' },
      to: { path: '^lib/', pathNot: '^lib/planning/engine/' },
    },
    {
      name: 'database-through-stores',
      comment:
        'Only store.ts files and lib/server talk to the database: load there, and pass plain values in.',
      severity: 'error',
      from: { path: '^(app|lib)/', pathNot: ['^lib/server/', '/store\\.ts$'] },
      to: { path: ['^lib/server/(client/|database)', '^node_modules/(@prisma|prisma|better-sqlite3)/'] },
    },
    {
      name: 'plain-knows-no-server',
      comment: 'Plain files of lib are pure: do this in store.ts, and hand plain values to the rule.',
      severity: 'error',
      from: PLAIN,
      to: { path: ['^lib/server/', '^node_modules/server-only/', '/store\\.ts$'] },
    },
    {
      name: 'plain-knows-no-machine',
      comment:
        'Plain files of lib neither read files nor know processes, networks or screens: take the value in.',
      severity: 'error',
      from: { ...PLAIN, pathNot: [...PLAIN.pathNot, ...MACHINE_BORDERS] },
      to: {
        path: [
          '^(node:)?(fs|fs/promises|os|net|http|https|child_process|worker_threads|process|timers)$',
          '^node_modules/(react|react-dom|next)/',
        ],
      },
    },
    {
      name: 'no-circles',
      comment: 'These files need each other: move what both need into a third.',
      severity: 'error',
      from: { path: '^(app|lib)/', pathNot: '^lib/server/client/' },
      // Types that know each other are no circle: nothing of them is left when the code runs.
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
    {
      name: 'no-unknown',
      comment: 'This import leads nowhere: mend its path, or install the package.',
      severity: 'error',
      from: {},
      to: { couldNotResolve: true },
    },
    {
      name: 'no-tests-in-app',
      comment: 'What the shop runs on does not import tests, scripts or seeds.',
      severity: 'error',
      from: { path: '^(app|lib)/' },
      to: { path: '^(tests|e2e|scripts|prisma)/' },
    },
  ],
  options: {
    doNotFollow: { path: ['^node_modules', '^lib/server/client'] },
    exclude: { path: ['\\.css$', '\\.svg$'] },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: {
      conditionNames: ['import', 'require', 'node', 'default', 'types'],
      exportsFields: ['exports'],
    },
  },
}
