// npm test: every check of the project, one after another. Each tool counts as one test; the last line counts all.
import { type ChildProcess, spawn } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { findChromium, HOW_TO_GET_CHROMIUM } from '../e2e/support/chromium'
import { prepareClient } from './support/fresh.mjs'

type Count = { passed: number; failed: number }

const scratch = mkdtempSync(join(tmpdir(), 'shirtwright-test-'))
const report = (name: string) => join(scratch, name)

/** No step may take longer, in minutes; one that hangs is ended, with a line that says so. */
const LONGEST = 30

const running = new Set<ChildProcess>()

function endGroup(child: ChildProcess) {
  if (process.platform === 'win32' || !child.pid) child.kill('SIGKILL')
  else process.kill(-child.pid, 'SIGKILL')
}

// A group of its own does not hear the keyboard.
for (const signal of ['SIGINT', 'SIGTERM'] as const)
  process.once(signal, () => {
    for (const child of running) endGroup(child)
    process.exit(1)
  })

/** Runs a command; its output is shown only when it fails, or as it comes if `loud`. */
function run(args: string[], { loud = false, env = {} } = {}): Promise<{ ok: boolean; output: string }> {
  return new Promise(done => {
    const child = spawn('npx', args, {
      env: { ...process.env, ...env },
      stdio: ['ignore', loud ? 'inherit' : 'pipe', loud ? 'inherit' : 'pipe'],
      shell: process.platform === 'win32',
      // Ended as a group: a worker of a tool may hang while the tool itself would go.
      detached: process.platform !== 'win32',
    })
    running.add(child)
    const clock = setTimeout(() => {
      console.log(`${args.join(' ')} was ended: it ran for more than ${LONGEST} minutes`)
      endGroup(child)
    }, LONGEST * 60_000)
    let output = ''
    child.stdout?.on('data', text => {
      output += text
    })
    child.stderr?.on('data', text => {
      output += text
    })
    child.on('close', code => {
      clearTimeout(clock)
      running.delete(child)
      done({ ok: code === 0, output })
    })
  })
}

/** A tool that passes or fails as a whole. */
const tool = (args: string[]) => async (): Promise<Count> => {
  const { ok, output } = await run(args)
  if (!ok) console.log(output)
  return ok ? { passed: 1, failed: 0 } : { passed: 0, failed: 1 }
}

async function unitTests(): Promise<Count> {
  const file = report('unit.json')
  await run(['vitest', 'run', '--reporter=default', '--reporter=json', `--outputFile.json=${file}`], {
    loud: true,
  })
  const read = JSON.parse(readFileSync(file, 'utf8')) as {
    numPassedTests: number
    numFailedTests: number
    testResults: { status: string; assertionResults: unknown[] }[]
  }
  // A file that could not even be loaded has no tests of its own to fail.
  const unread = read.testResults.filter(
    one => one.status === 'failed' && one.assertionResults.length === 0,
  ).length
  return { passed: read.numPassedTests, failed: read.numFailedTests + unread }
}

async function browserWalk(): Promise<Count> {
  if (!findChromium()) {
    console.log(HOW_TO_GET_CHROMIUM)
    return { passed: 0, failed: 1 }
  }
  const file = report('browser.json')
  await run(['playwright', 'test', '--reporter=list,json'], {
    loud: true,
    env: { PLAYWRIGHT_JSON_OUTPUT_NAME: file },
  })
  const { stats, errors } = JSON.parse(readFileSync(file, 'utf8')) as {
    stats: { expected: number; unexpected: number; flaky: number }
    errors: unknown[]
  }
  if (stats.flaky)
    console.log(`! ${stats.flaky} of the browser walk passed only at a second try ("flaky" above): mend them`)
  return {
    passed: stats.expected + stats.flaky,
    failed: stats.unexpected + (stats.unexpected ? 0 : errors.length),
  }
}

const steps: [string, () => Promise<Count>][] = [
  ['format and lint', tool(['biome', 'ci', '--error-on-warnings'])],
  ['types', tool(['tsc', '--noEmit'])],
  ['walls of the house', tool(['tsx', 'scripts/walls.ts'])],
  ['unused code and packages', tool(['knip', '--no-config-hints'])],
  ['unit tests', unitTests],
  ['production build', tool(['tsx', 'scripts/build.mjs'])],
  ['browser walk', browserWalk],
]

const total: Count = { passed: 0, failed: 0 }
try {
  prepareClient()
  await run(['next', 'typegen'])
  for (const [name, step] of steps) {
    const begun = performance.now()
    // A step that ends without its report has failed.
    const count = await step().catch((error): Count => {
      console.log(error instanceof Error ? error.message : error)
      return { passed: 0, failed: 1 }
    })
    total.passed += count.passed
    total.failed += count.failed
    const seconds = ((performance.now() - begun) / 1000).toFixed(0)
    console.log(
      `${count.failed ? '✗' : '✓'} ${name}: ${count.passed} passed, ${count.failed} failed (${seconds} s)`,
    )
  }
} finally {
  rmSync(scratch, { recursive: true, force: true })
}
console.log(`${total.passed} passed, ${total.failed} failed`)
process.exitCode = total.failed || !total.passed ? 1 : 0
