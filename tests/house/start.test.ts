/** From a checkout to a running program by one command, in a small house that a test built: our launcher, a program of three lines. */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync } from 'node:fs'
import { cp, mkdir, readFile, rm, symlink, utimes, writeFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { beforeEach, describe, expect, it, onTestFinished } from 'vitest'
import { tempFolder } from '../helpers/temp-folder.ts'

const root = new URL('../..', import.meta.url).pathname
let home: string

const program = `
process.on('SIGTERM', () => process.exit(7))
console.log('pouring', process.argv.slice(2).join(' '))
if (process.argv.includes('--stay')) setInterval(() => undefined, 1_000)
else process.exitCode = 5
`

async function lay(path: string, text: string): Promise<void> {
  await mkdir(dirname(join(home, path)), { recursive: true })
  await writeFile(join(home, path), text)
}

beforeEach(async () => {
  home = await tempFolder()
  for (const path of ['gateway/launch', 'gateway/launch.mjs', 'package.json', 'package-lock.json', 'tsconfig.json']) {
    await cp(join(root, path), join(home, path), { recursive: true })
  }
  await lay('gateway/main.ts', program)
  await lay('dashboard/index.html', '<!doctype html><title>wax</title><script type="module" src="./main.ts"></script>')
  await lay('dashboard/main.ts', "document.body.textContent = 'wax'\n")
  await lay('dashboard/vite.config.ts', "export default { root: 'dashboard' }\n")
  // An npm that only ever fails, with the words that a test gives it: no test may change what is really installed.
  await lay('npm/npm.cjs', "console.error(require('fs').readFileSync(__dirname + '/says', 'utf8')); process.exit(1)\n")
  await lay('npm/says', 'npm error: no npm in this test')
  await lay('node_modules/.keep', '')
})

/** The packages of the real house, seen from the small one. */
async function withModules(): Promise<void> {
  await rm(join(home, 'node_modules'), { recursive: true })
  await symlink(join(root, 'node_modules'), join(home, 'node_modules'))
}

function start(...args: string[]): ChildProcessWithoutNullStreams {
  const child = spawn(process.execPath, [join(home, 'gateway/launch.mjs'), ...args], {
    env: { ...process.env, npm_execpath: join(home, 'npm/npm.cjs') },
  })
  onTestFinished(() => {
    child.kill('SIGKILL')
  })
  return child
}

async function endOf(child: ChildProcessWithoutNullStreams): Promise<{ code: number; out: string; err: string }> {
  let out = ''
  let err = ''
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    out += text
  })
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    err += text
  })
  const [code] = (await once(child, 'close')) as [number]
  return { code, out, err }
}

describe('npm start in a fresh checkout', () => {
  it('builds, then becomes the program: its words, its arguments, its exit code', async () => {
    await withModules()
    const first = await endOf(start('start', '--http', '1.2.3.4:5'))
    expect(first).toEqual({
      code: 5,
      out: 'pouring --http 1.2.3.4:5\n',
      err: 'Building Cirewatch (a few seconds) ...\n',
    })
    const stamp = JSON.parse(await readFile(join(home, 'build/stamp.json'), 'utf8'))
    expect(stamp.version).toBe(JSON.parse(await readFile(join(root, 'package.json'), 'utf8')).version)
    expect(Number.isInteger(stamp.builtAt) && stamp.builtAt > 0).toBe(true)
    expect(existsSync(join(home, 'build/dashboard/index.html'))).toBe(true)
    const second = await endOf(start('start'))
    expect(second).toEqual({ code: 5, out: 'pouring \n', err: '' })
  })

  it('builds again when a source changed, and not when it was only touched', async () => {
    await withModules()
    await endOf(start('build'))
    await utimes(join(home, 'gateway/main.ts'), 2_000_000_000, 2_000_000_000)
    expect((await endOf(start('build'))).err).toBe('Everything is built.\n')
    await lay('gateway/main.ts', "console.log('pouring anew')\n")
    expect((await endOf(start('start'))).out).toBe('pouring anew\n')
  })

  it('mends a build from which somebody deleted something, and forgets what has no source any more', async () => {
    await withModules()
    await lay('gateway/old.ts', 'export const old = 1\n')
    await endOf(start('build'))
    expect(existsSync(join(home, 'build/gateway/old.js'))).toBe(true)
    await rm(join(home, 'build/gateway/main.js'))
    await rm(join(home, 'gateway/old.ts'))
    expect((await endOf(start('start'))).out).toBe('pouring \n')
    expect(existsSync(join(home, 'build/gateway/old.js'))).toBe(false)
  })

  it('works twice at once', async () => {
    await withModules()
    const ends = await Promise.all([endOf(start('start', 'a')), endOf(start('start', 'b')), endOf(start('start', 'c'))])
    expect(ends.map(({ code, out }) => `${code} ${out}`)).toEqual(['5 pouring a\n', '5 pouring b\n', '5 pouring c\n'])
    expect(ends.filter(({ err }) => err.includes('Building'))).toHaveLength(1)
  })

  it('lets the program hear that it should stop, and end in its own way', async () => {
    await withModules()
    const child = start('start', '--stay')
    const end = endOf(child)
    // The first words are the launcher's; the program listens for the signal before it says its own.
    let said = ''
    while (!said.includes('pouring')) said += String((await once(child.stdout, 'data'))[0])
    child.kill('SIGTERM')
    expect((await end).code).toBe(7)
  })
})

describe('what cannot start says why, without a stack trace', () => {
  it('when the sources do not compile', async () => {
    await withModules()
    await lay('gateway/main.ts', 'const wax: number = "hot"\n')
    const { code, out, err } = await endOf(start('start'))
    expect({ code, out }).toEqual({ code: 1, out: '' })
    expect(err).toContain("gateway/main.ts(1,7): error TS2322: Type 'string' is not assignable to type 'number'.")
    expect(err).toMatch(/The TypeScript sources do not compile; what the compiler said stands above\.\n$/)
    expect(err).not.toMatch(/\n\s+at /)
  })

  it('when the program itself falls over at once', async () => {
    await withModules()
    await lay('gateway/main.ts', "throw new Error('the ladle is missing')\n")
    const { code, err } = await endOf(start('start'))
    expect(code).toBe(1)
    expect(err).toMatch(/Cirewatch could not start: the ladle is missing\n$/)
    expect(err).not.toMatch(/\n\s+at /)
  })

  it('when the packages cannot be fetched, and nothing is half installed', async () => {
    await lay('npm/says', 'npm error code ENOTFOUND')
    const { code, out, err } = await endOf(start('start'))
    expect({ code, out }).toEqual({ code: 1, out: '' })
    expect(err.trimEnd().split('\n')).toEqual([
      expect.stringMatching(/^Installing what Cirewatch is built from/),
      'The packages could not be fetched because the network or the package registry did not answer: check the connection, ' +
        'then try again. What npm said is in build/install.log.',
    ])
    expect(await readFile(join(home, 'build/install.log'), 'utf8')).toContain('ENOTFOUND')
    expect(existsSync(join(home, 'node_modules/.cirewatch-stamp'))).toBe(false)
  })
})
