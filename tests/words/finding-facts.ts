/** Facts of every kind of finding, for whoever puts findings into words. */
import { type FindingFacts, type FindingKind, noAnswers } from '../../shared/contract/index.ts'
import { fakeNow } from '../helpers/fake-foundry.ts'

const minute = 60_000

export const facts: { [K in FindingKind]: FindingFacts[K][] } = {
  'above-ceiling': [{ valueC: 152.34, ceilingC: 150 }],
  'outside-window': [
    { quantity: 'temperature', value: 24.1, from: 20.3, to: 23.7, side: 'above' },
    { quantity: 'humidity', value: 38, from: 40, to: null, side: 'below' },
    { quantity: 'air-speed', value: 0.02, from: null, to: null, side: 'below' },
  ],
  'rising-too-fast': [{ cPerMinute: 4.2, cPerMinuteMax: 3, valueC: 114 }],
  'gone-quiet': [
    { lastAt: null, silenceMs: 30_000, saidOffline: false },
    { lastAt: fakeNow - 12 * minute, silenceMs: 30_000, saidOffline: true },
    { lastAt: fakeNow - 12 * minute, silenceMs: 30_000, saidOffline: false },
  ],
  'instrument-fault': [
    { text: 'open circuit' },
    ...noAnswers.map((noAnswer) => ({ text: 'what it sends as temperature cannot be true', noAnswer })),
  ],
  'clock-wrong': [{ offsetMs: 3_720_000 }, { offsetMs: -90_000 }],
  'conflicting-reading': [{ series: 'w1-mid.temperature', measuredAt: fakeNow, kept: 93.1, refused: 94 }],
  'off-recipe': [
    { run: 'r', deviationC: -22, targetC: 700, toleranceC: 15, segment: 3 },
    { run: 'r', deviationC: 22, targetC: 700, toleranceC: 15, segment: 3 },
  ],
  'outside-recipe-band': [
    { run: 'r', quantity: 'temperature', value: 24, from: 20.3, to: 23.7, side: 'above' },
    { run: 'r', quantity: 'humidity', value: 52, from: 40, to: 50, side: 'above' },
  ],
  'coat-outside-window': [{ run: 'r', coat: 'coat-2', valueC: 99, fromC: 93, toC: 97 }],
  'coat-off-wait': [
    { run: 'r', coat: 'coat-2', waitedMinutes: 2, side: 'too-soon', earliestMinutes: 5, latestMinutes: null },
    { run: 'r', coat: 'coat-2', waitedMinutes: 52, side: 'too-late', earliestMinutes: 5, latestMinutes: 30 },
  ],
  'nearing-ceiling': [{ minutes: 14, valueC: 121.3, ceilingC: 150, cPerMinute: 2.1 }],
  'no-cut-off': [{ valueC: 121.3, usualTopC: 116, drawsCurrent: null, overdueMinutes: 4 }],
  'left-on': [{ onSince: fakeNow - 600 * minute, hours: 10, valueC: 92 }],
  'wax-old': [{ hours: 412.3, batchHours: 400 }],
  'soak-paused': (['too-cool', 'too-hot', 'unseen', 'missing'] as const).map((refused) => ({
    run: 'r',
    segment: 5,
    probe: 'k2-load',
    refused,
    creditedMs: 167 * minute,
    askedMs: 240 * minute,
  })),
  'leaves-early': [
    { run: 'r', segment: 5, leavesAt: fakeNow + 40 * minute, creditedMs: 167 * minute, askedMs: 240 * minute },
  ],
  'heat-lost': [
    { run: 'r', airC: 667, fromC: 700, bands: [] },
    { run: 'r', airC: 210, fromC: 700, bands: ['quartz inversion', 'cristobalite inversion'] },
    { run: 'r', airC: 700, fromC: 700, bands: [] },
  ],
  'band-too-fast': [{ run: 'r', band: 'quartz inversion', cPerHour: 88, cPerHourMax: 50, direction: 'up' }],
  'hand-due': [{ run: 'r', hand: 'vent', name: 'Open the vent' }],
  'burnout-found': [
    { fromC: 21.3, valueC: 142.6, cPerHour: 58.4, topC: 142.6 },
    { fromC: 21.3, valueC: 702.4, cPerHour: -0.3, topC: 711 },
  ],
  'instrument-doubt': [
    {
      doubt: {
        kind: 'open-circuit',
        instrument: 'w1-mid',
        since: fakeNow,
        evidence: [{ what: 'pinned at', value: 1_372, unit: '°C' }],
        ruledOut: [],
      },
    },
    {
      doubt: {
        kind: 'stuck',
        instrument: 'w1-mid',
        against: 'w1-bottom',
        since: fakeNow,
        evidence: [
          { what: 'unchanged for', value: 90, unit: 'min' },
          { what: 'the other moved', value: 12.5, unit: '°C' },
        ],
        ruledOut: [],
      },
    },
  ],
  'check-due': [
    { checkedAt: null, everyDays: 90 },
    { checkedAt: fakeNow - 91 * 24 * 60 * minute, everyDays: 90 },
    { checkedAt: fakeNow - 2 * 24 * 60 * minute, everyDays: 1 },
  ],
}
