/** The arrows of the house: core <- io <- app, cli. Each rule says what to do when it fires. */
const rooms = ['camera', 'front', 'plate', 'picture', 'exposure', 'sheets', 'log'];

/** A room may use the rooms before it in the job's order, never a later one. */
const jobOrder = rooms.slice(0, -1).map((room, index) => ({
  name: `core-${room}-knows-no-later-room`,
  comment: `core/${room} must not know ${rooms.slice(index + 1).join(', ')}: move what both need to a foundation.`,
  severity: 'error',
  from: { path: `^core/src/${room}/`, pathNot: '\\.test\\.ts$' },
  to: { path: `^core/src/(${rooms.slice(index + 1).join('|')})/` },
}));

module.exports = {
  forbidden: [
    {
      name: 'core-only-core',
      comment: 'The core imports only itself, zod (the schema), general mathematics, and by doors of their own the sun, the compass, calendar files and what writes sheets. Put adapters into io.',
      severity: 'error',
      from: { path: '^core/src/', pathNot: '\\.test\\.ts$' },
      to: { pathNot: '^(core/src/|node_modules/(zod|fft\\.js|astronomy-engine|geomagnetism|ics|pdf-lib|@pdf-lib/fontkit|@tarikjabiri/dxf|maxrects-packer|uqr)/)' },
    },
    {
      name: 'foundations-know-no-room',
      comment: 'numeric, geometry, optics, calendar and sun are foundations: they must not import a room.',
      severity: 'error',
      from: { path: '^core/src/(numeric|geometry|optics|units|errors|calendar|sun)', pathNot: '\\.test\\.ts$' },
      to: { path: `^core/src/(${rooms.join('|')})/` },
    },
    {
      name: 'numeric-knows-no-physics',
      comment: 'numeric holds mathematics only.',
      severity: 'error',
      from: { path: '^core/src/numeric/', pathNot: '\\.test\\.ts$' },
      to: { path: '^core/src/(geometry|optics)/' },
    },
    ...jobOrder,
    {
      name: 'io-never-up',
      comment: 'io must not know the faces: hand in what it needs.',
      severity: 'error',
      from: { path: '^io/' },
      to: { path: '^(app|cli)/' },
    },
    {
      name: 'core-by-its-door',
      comment: 'Outside the core import #core, #core/schema or #core/pdf, never a file inside.',
      severity: 'error',
      from: { path: '^(io|app|cli)/', pathNot: '\\.test\\.ts$' },
      to: { path: '^core/src/', pathNot: '^core/src/(index|schema|sun|compass|calendar|sheets|pdf)\\.ts$' },
    },
    {
      name: 'faces-never-meet',
      comment: 'app and cli share the core and io only.',
      severity: 'error',
      from: { path: '^(app|cli)/' },
      to: { path: '^(app|cli)/', pathNot: '^$1/' },
    },
    {
      name: 'app-not-node',
      comment: 'The app runs in the browser: use #io/browser.',
      severity: 'error',
      from: { path: '^app/src/', pathNot: '\\.test\\.ts$' },
      to: { path: '^io/src/node/' },
    },
    {
      name: 'no-cycles',
      comment: 'Split off what both sides need.',
      severity: 'error',
      from: { path: '^(core|io|app|cli)/src/' },
      to: { circular: true },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    exclude: { path: '\\.svelte$|^dist/' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'require', 'node', 'default', 'types'] },
  },
};
