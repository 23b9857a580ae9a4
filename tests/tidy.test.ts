/** The house stays tidy: rules that no compiler knows, read off the sources themselves. */
import { readdirSync, readFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { describe, expect, it } from 'vitest'

const root = new URL('..', import.meta.url).pathname

interface Source {
  path: string
  text: string
  /** The text with comments blanked out, line by line. */
  code: string
}

const product = ['gateway', 'shared', 'simulators', 'dashboard']
const sources = [...product, 'tests']
  .flatMap(walk)
  .filter((path) => /\.(ts|mjs|svelte|css|html)$/.test(path))
  .map(read)
const scripts = sources.filter(({ path }) => /\.(ts|mjs|svelte)$/.test(path))
const inProduct = ({ path }: Source): boolean => product.some((room) => path.startsWith(`${room}/`))

function walk(folder: string): string[] {
  return readdirSync(join(root, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = `${folder}/${entry.name}`
    return entry.isDirectory() ? walk(path) : [path]
  })
}

/** Comments blanked out; the lines stay where they are. A glob such as `a/**` opens no comment. */
function withoutComments(text: string): string {
  const blank = (found: string): string => found.replace(/[^\n]/g, ' ')
  return text
    .replace(/(?<=^|[\s({[,=;])\/\*[\s\S]*?\*\//g, blank)
    .replace(/<!--[\s\S]*?-->/g, blank)
    .replace(/(?<=^|\s)\/\/.*$/gm, blank)
}

function read(path: string): Source {
  const text = readFileSync(join(root, path), 'utf8')
  return { path, text, code: withoutComments(text) }
}

/** Each place where a pattern stands, as `file:line: text`. */
function places(where: readonly Source[], pattern: RegExp, part: 'text' | 'code' = 'code'): string[] {
  return where.flatMap((source) =>
    source[part]
      .split('\n')
      .flatMap((line, i) => (pattern.test(line) ? [`${source.path}:${i + 1}: ${line.trim()}`] : [])),
  )
}

const isClock = ({ path }: Source): boolean => /^clock\.(ts|mjs)$/.test(basename(path))

describe('the house is seen as a whole', () => {
  it('looks into every room', () => {
    expect(scripts.filter(inProduct).length).toBeGreaterThan(60)
    for (const room of product)
      expect(
        scripts.some(({ path }) => path.startsWith(`${room}/`)),
        room,
      ).toBe(true)
  })
})

/** What only a clock file may ask for, and lines that show each pattern at work. */
const doors: { of: string; pattern: RegExp; caught: string[]; free: string[] }[] = [
  {
    of: 'the present',
    pattern: /\bDate\.now\b|\bnew Date\(\s*\)|(?<!new )\bDate\(\s*\)|\bperformance\.now\b|\bprocess\.hrtime\b/,
    caught: [
      'const t = Date.now()',
      'new Date()',
      'const now = Date.now',
      'performance.now()',
      'process.hrtime.bigint()',
    ],
    free: ['new Date(at)', 'clock.now()', 'type Day = Date'],
  },
  {
    of: 'timers',
    pattern: /\b(setTimeout|setInterval|setImmediate|requestIdleCallback)\b|['"](node:)?timers/,
    caught: [
      'setTimeout(run, 5)',
      'setInterval(run)',
      'setImmediate(run)',
      "from 'node:timers/promises'",
      'globalThis.setTimeout',
    ],
    free: ['clock.after(5, run)', 'clock.soon(run)'],
  },
]

describe('time and chance enter only by their doors', () => {
  it.each(doors)('$of is asked for only in clock files', ({ pattern }) => {
    expect(
      places(
        scripts.filter((s) => inProduct(s) && !isClock(s)),
        pattern,
      ),
    ).toEqual([])
  })

  it.each(doors)('$of would be noticed, and nothing that only looks like it', ({ pattern, caught, free }) => {
    for (const line of caught) expect(pattern.test(line), line).toBe(true)
    for (const line of free) expect(pattern.test(line), line).toBe(false)
  })

  it('no chance is taken that a seed cannot repeat', () => {
    const rest = scripts.filter(({ path }) => path !== 'tests/tidy.test.ts')
    expect(places(rest, /\bMath\.random\b|\bgetRandomValues\b/)).toEqual([])
  })

  it('a banned call is seen behind a comment, and a comment is not a call', () => {
    const code = withoutComments("const globs = ['a/**']\n/* Math.random */ x() // Date.now()").split('\n')
    expect(code.map((line) => line.trim())).toEqual(["const globs = ['a/**']", 'x()'])
  })
})

describe('what is here is finished', () => {
  it('nothing waits to be done later', () => {
    expect(places(sources, /\b(TO[D]O|FIX[M]E|X[X]X|HAC[K])\b/, 'text')).toEqual([])
  })

  it('no test is passed over or runs alone', () => {
    const tests = scripts.filter(({ path }) => path.startsWith('tests/') && path !== 'tests/tidy.test.ts')
    expect(places(tests, /\b(it|test|describe)\.(skip|only|todo|fails)\b|\bx(it|describe)\s*\(/)).toEqual([])
    // Left out only where a person said so with CIREWATCH_TEST_WITHOUT.
    expect(places(tests, /\.(skipIf|runIf)\((?!without\()/)).toEqual([])
  })

  it('no rule is switched off in passing', () => {
    expect(
      places(sources, /@ts-(ignore|nocheck|expect-error)|eslint-disable/, 'text').filter(
        (p) => !p.startsWith('tests/tidy'),
      ),
    ).toEqual([])
  })
})

describe('a file can be read', () => {
  it('opens with a comment that says what it is for', () => {
    const silent = scripts.filter(({ text }) => !/^(#!.*\n)?(<!--|\/\*\*) ?\S/.test(text))
    expect(silent.map(({ path }) => path)).toEqual([])
  })

  it('is no longer than 400 lines, and nine in ten of the product are under 300', () => {
    // A table of published coefficients is long because the standard is.
    const files = scripts
      .filter(({ path }) => path !== 'shared/physics/its90.ts')
      .map(({ path, text }) => ({ path, lines: text.split('\n').length }))
    expect(files.filter(({ lines }) => lines > 400)).toEqual([])
    const long = files.filter(({ path, lines }) => lines >= 300 && !path.startsWith('tests/'))
    expect(long.length).toBeLessThanOrEqual(files.length / 10)
  })

  it('has no room for what has no name', () => {
    const nameless = sources.filter(
      (s) => inProduct(s) && /(^|\/)(utils?|common|helpers?|misc|services?|core|types)(\/|\.\w+$)/.test(s.path),
    )
    expect(nameless.map(({ path }) => path)).toEqual([])
  })
})

describe('the house speaks only of itself', () => {
  it('names no machine on which it was written', () => {
    const rest = sources.filter(({ path }) => path !== 'tests/tidy.test.ts')
    expect(places(rest.filter(inProduct), /['"`( ]\/(work|tmp|root|home)\//, 'text')).toEqual([])
    expect(places(rest, /\/wor[k]\/|\btranscrip[t]\b|\bseed documen[t]\b|\bsubagen[t]\b/i, 'text')).toEqual([])
  })

  it('fetches nothing from strangers while it runs', () => {
    const pages = sources.filter(({ path }) => path.startsWith('dashboard/'))
    const outward = places(pages, /https?:\/\/(?!127\.0\.0\.1|localhost|\$\{|www\.w3\.org\/)/)
    expect(outward).toEqual([])
  })
})
