/** The address that the first-run page gives out: one that works from where it says it works. */
import { describe, expect, it } from 'vitest'
import { reachOf } from '../../dashboard/pages/reach.ts'

describe('the address for instruments', () => {
  it('is that of the machine itself, and said to be so, while the broker listens to nobody else', () => {
    for (const host of ['127.0.0.1', 'localhost', '::1'])
      expect(reachOf({ host, loopback: true }, '192.168.4.7')).toEqual({ host: '127.0.0.1', onlyHere: true })
  })

  it('is the name by which this page was reached, where the broker listens everywhere', () => {
    expect(reachOf({ host: '0.0.0.0', loopback: false }, 'foundry.local')).toEqual({
      host: 'foundry.local',
      onlyHere: false,
    })
    expect(reachOf({ host: '::', loopback: false }, '[fd00::7]').host).toBe('fd00::7')
    expect(reachOf({ host: null, loopback: false }, 'foundry.local').host).toBe('foundry.local')
  })

  it('never sends an instrument to itself', () => {
    for (const page of ['localhost', '127.0.0.1', '[::1]'])
      expect(reachOf({ host: '0.0.0.0', loopback: false }, page).host).toBe('<address of this machine>')
  })

  it('is the one that the broker was given, where it was given one', () => {
    expect(reachOf({ host: '192.168.4.9', loopback: false }, 'foundry.local').host).toBe('192.168.4.9')
  })
})
