/** When a launcher must install or build again, and when it may go straight on. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { builtAt, modulesStamp, sameModules, sourcesStamp } from '../../gateway/launch/stamp.mjs'

const machine = { platform: 'linux', arch: 'x64', abi: '115' }
const files = fc.uniqueArray(fc.record({ path: fc.string({ minLength: 1 }), content: fc.string() }), {
  selector: (f) => f.path,
  minLength: 1,
  maxLength: 8,
})

describe('the stamp of the sources', () => {
  it('is the same in whatever order the files are found', () => {
    fc.assert(fc.property(files, (list) => sourcesStamp(list) === sourcesStamp([...list].reverse())))
  })

  it('changes with any change of one file, its name, or its being there', () => {
    fc.assert(
      fc.property(files, fc.nat(), fc.string({ minLength: 1 }), (list, pick, more) => {
        const at = pick % list.length
        const changed = list.map((f, i) => (i === at ? { ...f, content: f.content + more } : f))
        const renamed = list.map((f, i) => (i === at ? { ...f, path: `${f.path}${more}/new` } : f))
        const fewer = list.filter((_, i) => i !== at)
        const stamps = [list, changed, renamed, fewer].map(sourcesStamp)
        return new Set(stamps).size === 4
      }),
    )
  })

  it('sees a line that moves from the end of one file to the beginning of the next', () => {
    const before = [
      { path: 'a', content: 'one two' },
      { path: 'b', content: 'three' },
    ]
    const after = [
      { path: 'a', content: 'one' },
      { path: 'b', content: ' twothree' },
    ]
    expect(sourcesStamp(before)).not.toBe(sourcesStamp(after))
  })
})

describe('the stamp of the packages', () => {
  it('asks for a new installation after an update, on another machine and under another Node', () => {
    const stamp = modulesStamp('lock', machine)
    expect(modulesStamp('lock', { ...machine })).toBe(stamp)
    expect(modulesStamp('lock 2', machine)).not.toBe(stamp)
    expect(modulesStamp('lock', { ...machine, abi: '127' })).not.toBe(stamp)
    expect(modulesStamp('lock', { ...machine, arch: 'arm64' })).not.toBe(stamp)
  })
})

describe('packages that somebody installed by hand', () => {
  const text = (packages: object): string => JSON.stringify({ packages })
  const a = { version: '1.0.0', integrity: 'sha512-a' }
  const lock = text({ '': {}, 'node_modules/a': a, 'node_modules/b': { version: '2.0.0', optional: true } })

  it('are taken as they are when they are those of the lockfile', () => {
    expect(sameModules(lock, text({ 'node_modules/a': a, 'node_modules/b': { version: '2.0.0' } }))).toBe(true)
  })

  it('may lack an optional one that is for another machine', () => {
    expect(sameModules(lock, text({ 'node_modules/a': a }))).toBe(true)
  })

  it.each([
    ['one is missing', text({ 'node_modules/b': { version: '2.0.0' } })],
    ['one has another version', text({ 'node_modules/a': { ...a, version: '1.0.1' } })],
    ['one has other content', text({ 'node_modules/a': { ...a, integrity: 'sha512-z' } })],
    ['there is one too many', text({ 'node_modules/a': a, 'node_modules/c': a })],
    ['the list cannot be read', 'no JSON'],
    ['the list is empty', '{}'],
  ])('are replaced when %s', (_, installed) => {
    expect(sameModules(lock, installed)).toBe(false)
  })

  it('are replaced when the lockfile itself lists nothing', () => {
    expect(sameModules(text({}), text({}))).toBe(false)
  })
})

describe('the time of the build', () => {
  it('is that of the commit, which copying the files does not change', () => {
    expect(builtAt({ committedAt: 1_000, newestSourceAt: 5_000, now: 9_000 })).toBe(1_000)
  })

  it('is that of the newest source where there is no history', () => {
    expect(builtAt({ committedAt: null, newestSourceAt: 5_000.7, now: 9_000 })).toBe(5_000)
  })

  it('never lies in the future, or every right clock would look wrong', () => {
    const time = fc.integer({ min: 0, max: 2 ** 42 })
    fc.assert(
      fc.property(
        fc.option(time),
        time,
        time,
        (committedAt, newestSourceAt, now) => builtAt({ committedAt, newestSourceAt, now }) <= now,
      ),
    )
  })
})
