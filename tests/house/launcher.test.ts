/** The launcher as a person meets it: one sentence when something is wrong, one launcher at a time, the child's end as its own. */
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, readFileSync, utimesSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { withoutStack } from '../../gateway/launch/build.mjs'
import { whyInstallFailed } from '../../gateway/launch/install.mjs'
import { alone } from '../../gateway/launch/lock.mjs'
import { run } from '../../gateway/launch/run.mjs'
import { tempFolder } from '../helpers/temp-folder.ts'

const root = new URL('../..', import.meta.url).pathname
const launcher = join(root, 'gateway/launch.mjs')

describe('a command that Cirewatch does not know', () => {
  it.each([['brew'], ['toString'], ['']])('"%s" is answered with the ones it knows, and exit code 2', async (verb) => {
    const { code, output } = await run(process.execPath, [launcher, verb], { quiet: true })
    expect(code).toBe(2)
    expect(output).toMatch(
      /^"\w*" is no command of Cirewatch; it knows start, demo, simulate, cirewatch, bench, build\.\n$/,
    )
  })
})

describe('a bench that is not there', () => {
  it.each([[[]], [['no-such-bench']]])(
    '%j is answered with those that are, and nothing is built for it',
    async (args) => {
      const { code, output } = await run(process.execPath, [launcher, 'bench', ...args], { quiet: true })
      expect(code).toBe(2)
      expect(output).toMatch(/^Say which bench: npm run bench -- NAME, where NAME is .*\bstore\b.*\.\n$/)
    },
  )
})

describe('a build that fails', () => {
  it('tells what is wrong in which file, not where in the compiler it was noticed', () => {
    const told = [
      'Error: Failed to resolve /main.ts from dashboard/index.html',
      '    at file:///a/vite/chunks/node.js:31890:64',
      '    at async Promise.all (index 0)',
      '    at async build (file:///a/vite/chunks/node.js:31987:5)',
      '    at that time nobody was in',
    ]
    expect(withoutStack(told.join('\n'))).toBe([told[0], told[4]].join('\n'))
  })
})

describe('an installation that fails', () => {
  const noCompiler = { hasCompiler: false }
  it.each([
    ['a missing compiler', 'gyp ERR! not found: make', noCompiler, /compiler.*build-essential python3/],
    [
      'a network that is down',
      'npm error code ENOTFOUND',
      { hasCompiler: true },
      /network or the package registry did not answer/,
    ],
    ['a full disk', 'npm error code ENOSPC', { hasCompiler: true }, /disk is full/],
    ['a folder of somebody else', 'npm error code EACCES', { hasCompiler: true }, /belongs to somebody else/],
    [
      'a lockfile out of step',
      'npm ci` can only install packages when your package.json',
      { hasCompiler: true },
      /npm install/,
    ],
  ])('says what to do about %s in one sentence', (_, output, machine, sentence) => {
    const told = whyInstallFailed(output, machine)
    expect(told).toMatch(sentence)
    expect(told).not.toContain('\n')
  })

  it('does not blame the compiler where there is one', () => {
    expect(whyInstallFailed('gyp ERR! build error', { hasCompiler: true })).not.toMatch(/compiler/)
  })
})

describe('two launchers at once', () => {
  it('take turns, and the second one says that it waits', async () => {
    const lock = join(await tempFolder(), 'deep', 'lock')
    const story: string[] = []
    let finish = (): void => undefined
    const first = alone(lock, async () => {
      story.push('first begins')
      await new Promise<void>((resolve) => {
        finish = resolve
      })
      story.push('first ends')
    })
    const second = alone(
      lock,
      async () => {
        story.push('second')
      },
      () => {
        story.push('waiting')
        finish()
      },
    )
    await Promise.all([first, second])
    expect(story).toEqual(['first begins', 'waiting', 'first ends', 'second'])
    expect(existsSync(lock)).toBe(false)
  })

  it('never work at the same time, however many they are', async () => {
    const lock = join(await tempFolder(), 'lock')
    let inside = 0
    let most = 0
    let done = 0
    await Promise.all(
      Array.from({ length: 8 }, () =>
        alone(lock, async () => {
          most = Math.max(most, ++inside)
          await once(spawn(process.execPath, ['-e', '']), 'close')
          inside--
          done++
        }),
      ),
    )
    expect({ most, done, inside }).toEqual({ most: 1, done: 8, inside: 0 })
  })

  it('go on when the one before was killed', async () => {
    const lock = join(await tempFolder(), 'lock')
    const dead = spawn(process.execPath, ['-e', ''])
    await once(dead, 'close')
    writeFileSync(lock, String(dead.pid))
    expect(await alone(lock, async () => 'mine')).toBe('mine')
  })

  it('go on when another program has since got the number of the one that was killed', async () => {
    const lock = join(await tempFolder(), 'lock')
    writeFileSync(lock, String(process.pid))
    utimesSync(lock, 1_000, 1_000)
    expect(await alone(lock, async () => 'mine')).toBe('mine')
  })

  it('give the lock back when the work fails', async () => {
    const lock = join(await tempFolder(), 'lock')
    await expect(alone(lock, () => Promise.reject(new Error('no room')))).rejects.toThrow('no room')
    expect(existsSync(lock)).toBe(false)
  })
})

describe('a program that was started', () => {
  it('ends with its own exit code', async () => {
    expect((await run(process.execPath, ['-e', 'process.exit(78)'], { quiet: true })).code).toBe(78)
  })

  it('that was killed ends with 128 and the signal', async () => {
    const killed = await run(process.execPath, ['-e', "process.kill(process.pid, 'SIGKILL')"], { quiet: true })
    expect(killed.code).toBe(137)
  })

  it('that is not there is told apart from one that failed', async () => {
    expect((await run('no-such-program-anywhere', [], { quiet: true })).missing).toBe(true)
    expect((await run(process.execPath, ['-e', 'process.exit(1)'], { quiet: true })).missing).toBe(false)
  })

  it('hears the signal that its launcher got', async () => {
    const file = join(await tempFolder(), 'heard')
    const child = `process.on('SIGTERM', () => { require('fs').writeFileSync(${JSON.stringify(file)}, 'heard'); process.exit(7) }); console.log('ready'); setInterval(() => {}, 1000)`
    const parent = `import { run } from ${JSON.stringify(join(root, 'gateway/launch/run.mjs'))}
      process.exitCode = (await run(process.execPath, ['-e', ${JSON.stringify(child)}])).code`
    const launched = spawn(process.execPath, ['--input-type=module', '-e', parent])
    await once(launched.stdout, 'data')
    launched.kill('SIGTERM')
    const [code] = await once(launched, 'close')
    expect(code).toBe(7)
    expect(readFileSync(file, 'utf8')).toBe('heard')
  })
})
