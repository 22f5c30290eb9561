// npm start: builds what is stale, then serves the shop and keeps its server running.
//   --demo       opens the demo shop          --anew   with --demo: draws it afresh
//   --as-built   serves the build as it is, without looking at the sources
// Backs the shop up as its plan says (office, Backups). SHIRTWRIGHT_BACKUPS goes before the plan: a folder, or "none" (by hand alone).
// A shop that has outgrown one computer: DATABASE_URL=postgresql://… , the same for every app server, and one data folder that all share.
// Environment: PORT (3000), SHIRTWRIGHT_HOST (which network address to listen on), SHIRTWRIGHT_DATA (data folder).
import { spawn } from 'node:child_process'
import { mkdirSync, readFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { networkInterfaces } from 'node:os'
import { join, resolve } from 'node:path'
import { home, prepareBuild } from './support/fresh.mjs'
import { ageOf, ageOnServer } from './support/shop-file.mjs'

const data = resolve(process.env.SHIRTWRIGHT_DATA ?? join(home, 'data'))
const port = Number(process.env.PORT ?? 3000)
/** The shop's own database lies on this server, where one is named; the demo is always a file. */
const onServer = /^postgres(ql)?:/.test(process.env.DATABASE_URL ?? '') ? process.env.DATABASE_URL : undefined
const files = { own: join(data, 'shop.db'), demo: join(data, 'demo.db') }

let server // the child process that answers requests
let stopping = false
const deaths = [] // when it ended by itself
let keeping = Promise.resolve() // the backup under way
let lastAsked = 0 // when it was last looked whether one is due

for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, stop)
// npm hands a signal on to a shell, which ends by it and tells nobody: whoever ends "npm start" means the shop.
const parent = process.ppid
if (process.env.npm_lifecycle_event) setInterval(() => process.ppid !== parent && stop(), 500).unref()

try {
  mkdirSync(data, { recursive: true, mode: 0o700 })
  if (!process.argv.includes('--as-built')) prepareBuild(console.log)
  const kind = process.argv.includes('--demo') ? 'demo' : (await ageOfOwn()) === 'none' ? undefined : 'own'
  if (kind) await ready(kind, { anew: process.argv.includes('--anew') })
  await refuseTakenPort(kind)
  await serve(kind)
  backUpIfDue()
  setInterval(backUpIfDue, 5 * 60 * 1000)
} catch (error) {
  console.error(error.message)
  process.exit(1)
}

async function stop() {
  if (stopping) return
  stopping = true
  await stopServer()
  process.exit(0)
}

async function ageOfOwn() {
  if (!onServer) return ageOf(files.own)
  return ageOnServer(onServer).catch(error => {
    throw new Error(`The database of DATABASE_URL does not answer: ${error.message || error.code}.`)
  })
}

/** Makes or upgrades the database of a shop. `shop` is what the owner typed, for a new one of their own. */
async function ready(kind, { shop, anew = false, say = console.log } = {}) {
  const age = kind === 'demo' ? ageOf(files.demo) : await ageOfOwn()
  if (kind === 'demo') {
    if (anew || age !== 'current') await prepare('demo', undefined, say)
    return
  }
  if (shop) return prepare('own', shop, say)
  if (age === 'older') return prepare('upgrade', undefined, say)
  const name = onServer ? 'The database of DATABASE_URL' : files.own
  if (age === 'newer')
    throw new Error(
      `${name} was last opened by a newer version of Shirtwright: install that version, or restore a backup.`,
    )
  if (age === 'changed')
    throw new Error(
      `${name} was made by a version between releases, whose tables have changed since: move it away and start again.`,
    )
  if (age === 'broken')
    throw new Error(
      `${files.own} is not a shop's database, or it is damaged: move it away, or put a backup in its place.`,
    )
}

/** Runs scripts/prepare-shop.ts; each line that it prints is a step for the person who waits. */
function prepare(task, input, say) {
  return new Promise((done, failed) => {
    const child = spawn(
      process.execPath,
      ['--conditions=react-server', '--import', 'tsx', join(home, 'scripts/prepare-shop.ts'), task],
      { cwd: home, env: { ...process.env, SHIRTWRIGHT_DATA: data }, stdio: ['pipe', 'pipe', 'pipe'] },
    )
    let errors = ''
    child.stdout.on('data', text => {
      for (const line of String(text).split('\n')) if (line.trim()) say(line.trim())
    })
    child.stderr.on('data', text => {
      errors += text
    })
    child.on('error', failed)
    child.on('close', code => {
      if (code === 0) done()
      else failed(new Error(errors.trim() || 'The shop could not be made ready.'))
    })
    child.stdin.end(JSON.stringify(input ?? {}))
  })
}

/** Looks whether a backup is due; what was remembered spares the question most of the time. */
function backUpIfDue() {
  if (stopping || (!onServer && ageOf(files.own) === 'none') || process.env.SHIRTWRIGHT_BACKUPS === 'none')
    return
  try {
    const { nextDue } = JSON.parse(readFileSync(join(data, 'backup-state.json'), 'utf8'))
    // Asked once in a while all the same: the plan, or the clock, may have been changed.
    if (lastAsked > Date.now() - 60 * 60 * 1000 && (nextDue === null || Date.parse(nextDue) > Date.now()))
      return
  } catch {
    // Nothing is remembered yet.
  }
  lastAsked = Date.now()
  keep(['backup', '--if-due']).then(({ ok, message }) => {
    if (message) console[ok ? 'log' : 'error'](message)
    if (!ok) console.error('The backup was not made: see the line above, and try npm run backup.')
  })
}

/** Runs scripts/keep.ts in a process of its own, so that nobody waits for it; one at a time. */
function keep(args) {
  const done = keeping.then(
    () =>
      new Promise(tell => {
        const child = spawn(
          process.execPath,
          ['--conditions=react-server', '--import', 'tsx', join(home, 'scripts/keep.ts'), ...args],
          { cwd: home, env: { ...process.env, SHIRTWRIGHT_DATA: data }, stdio: ['ignore', 'pipe', 'pipe'] },
        )
        const said = { out: '', wrong: '' }
        child.stdout.on('data', text => {
          said.out += text
        })
        child.stderr.on('data', text => {
          said.wrong += text
        })
        child.on('error', error => tell({ ok: false, message: error.message }))
        child.on('close', code =>
          tell(
            code === 0 ? { ok: true, message: said.out.trim() } : { ok: false, message: said.wrong.trim() },
          ),
        )
        child.unref()
      }),
  )
  keeping = done
  return done
}

/** The demo and a computer without a shop are served to this computer alone; a shop to its tablets, too. */
function hostOf(kind) {
  if (kind === 'demo') return '127.0.0.1'
  return process.env.SHIRTWRIGHT_HOST ?? (kind === 'own' ? '0.0.0.0' : '127.0.0.1')
}

async function serve(kind) {
  const env = { ...process.env, NODE_ENV: 'production', PORT: String(port), SHIRTWRIGHT_DATA: data }
  env.HOSTNAME = hostOf(kind)
  delete env.DATABASE_URL
  delete env.SHIRTWRIGHT_DEMO
  if (kind) env.DATABASE_URL = kind === 'own' && onServer ? onServer : `file:${files[kind]}`
  if (onServer) env.SHIRTWRIGHT_SHOP = (await ageOfOwn()) === 'none' ? 'none' : 'server'
  if (kind === 'demo') env.SHIRTWRIGHT_DEMO = '1'

  const child = spawn(process.execPath, [join(home, '.next/standalone/server.js')], {
    env,
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  })
  server = child
  child.on('message', message => {
    if (message?.ask === 'open') open(child, message)
    // What the shop's own plan says is its own: in the demo nothing is kept.
    if (message?.ask === 'keep') {
      const asked =
        kind === 'own'
          ? keep(message.args)
          : Promise.resolve({ ok: false, message: 'The demo shop is not backed up: it is made anew.' })
      asked.then(done => child.connected && child.send({ kept: { id: message.id, ...done } }))
    }
  })
  child.on('exit', () => {
    if (server === child && !stopping) comeBack(kind)
  })
  await answering(child, env.HOSTNAME)
  if (server === child) announce(kind)
}

/** Starts the server again after it ended by itself, unless that happens over and over. */
function comeBack(kind) {
  const now = Date.now()
  deaths.push(now)
  if (deaths.filter(at => now - at < 60_000).length > 4) {
    console.error('The server ends again and again: see the messages above.')
    process.exit(1)
  }
  console.error('The server ended by itself: starting it again.')
  setTimeout(() => serve(kind).catch(error => console.error(error.message)), 500)
}

/** Somebody chose a shop on the welcome page: makes it, then goes on with a server that has it. */
async function open(child, { kind, shop }) {
  const tell = opening => child.connected && child.send({ opening: { kind, ...opening } })
  try {
    tell({ step: 'Getting ready' })
    await ready(kind, { shop, say: step => tell({ step }) })
    await stopServer()
    await serve(kind)
  } catch (error) {
    tell({ failed: error.message })
  }
}

async function stopServer() {
  const child = server
  server = undefined
  if (!child || hasEnded(child)) return
  const gone = new Promise(done => child.once('exit', done))
  child.kill('SIGTERM')
  const late = setTimeout(() => child.kill('SIGKILL'), 10_000)
  await gone
  clearTimeout(late)
}

function hasEnded(child) {
  return child.exitCode !== null || child.signalCode !== null
}

/** Waits until the server answers. */
async function answering(child, host) {
  const address = host === '0.0.0.0' ? '127.0.0.1' : host
  const until = Date.now() + 60_000
  while (!hasEnded(child) && Date.now() < until) {
    const answer = await fetch(`http://${address}:${port}/api/health`).catch(() => undefined)
    if (answer) return
    await new Promise(done => setTimeout(done, 100))
  }
  if (!hasEnded(child)) throw new Error('The server did not answer within a minute.')
}

function announce(kind) {
  console.log(`\n  Shirtwright is open at http://localhost:${port}`)
  if (kind === 'demo') console.log('  This is the demo shop. It is served to this computer alone.')
  if (!kind) console.log('  There is no shop yet: open this address to set one up, or to look at the demo.')
  if (kind === 'own' && hostOf(kind) === '0.0.0.0') {
    for (const address of ownAddresses()) console.log(`  From tablets in the shop: http://${address}:${port}`)
    console.log('  Plain http: keep it inside the shop, on a network that you trust.')
  }
  console.log('  Stop it with Ctrl+C.\n')
}

function ownAddresses() {
  return Object.values(networkInterfaces())
    .flat()
    .filter(one => one.family === 'IPv4' && !one.internal)
    .map(one => one.address)
}

function refuseTakenPort(kind) {
  return new Promise((done, failed) => {
    const probe = createServer()
    probe.once('error', error =>
      failed(
        new Error(
          error.code === 'EADDRINUSE'
            ? `Port ${port} is taken by another program: choose one, as in PORT=${port + 1} npm start.`
            : `Port ${port} cannot be opened: ${error.message}`,
        ),
      ),
    )
    probe.listen(port, hostOf(kind), () => probe.close(done))
  })
}
