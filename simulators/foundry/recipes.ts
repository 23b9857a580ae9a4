/** The recipes of the invented foundry. Every set-point here is invented for the demo: take none of them to a real pot, room or kiln. */
import type { Recipe } from '../../shared/contract/index.ts'

const invented = 'Invented for the demo.'

type Segment = Extract<Recipe, { kind: 'burnout' }>['segments'][number]
const ramp = (toC: number, cPerHour: number, toleranceC = 20): Segment => ({ kind: 'ramp', toC, cPerHour, toleranceC })
const hold = (minutes: number, toleranceC = 15): Segment => ({ kind: 'hold', minutes, toleranceC })

/** Leathery, but still warm. */
const betweenCoats = { earliestMinutes: 2, latestMinutes: 60 }

export const mouldSegments: Segment[] = [
  ramp(150, 90),
  // Narrow, so that a hold begins for the judge about when it begins for the controller.
  hold(60, 5),
  ramp(700, 150),
  // The load comes to it some three hours after the air; the controller is set to hold long enough for both.
  { kind: 'hold', minutes: 90, toleranceC: 20, governs: 'all', controllerMinutes: 300 },
  ramp(450, 60),
  hold(300),
]
export const shellSegments: Segment[] = [
  ramp(870, 300, 30),
  { kind: 'hold', minutes: 120, toleranceC: 20, governs: 'load', controllerMinutes: 180 },
]

export const recipes: Recipe[] = [
  {
    kind: 'wax',
    id: 'figure-wax',
    name: 'Figure wax',
    revision: 1,
    note: `${invented} Wall 5 mm. Conditioned and stirred, three build coats (two on a smooth mould), then slushed at the bottom of its range.`,
    conditioning: { window: { fromC: 108, toC: 116 }, holdMinutes: 30, stirred: true },
    coats: [
      { id: 'coat-1', name: 'Coat 1, detail', window: { fromC: 104, toC: 110 } },
      { id: 'coat-2', name: 'Coat 2', window: { fromC: 93, toC: 97 }, wait: betweenCoats },
      { id: 'coat-3', name: 'Coat 3', window: { fromC: 85, toC: 89 }, wait: betweenCoats },
      { id: 'coat-4', name: 'Coat 4', window: { fromC: 80, toC: 83 }, texturedOnly: true, wait: betweenCoats },
      { id: 'slush', name: 'Slush pour', window: { fromC: 74, toC: 78 }, slush: true, wait: betweenCoats },
    ],
    congealing: { fromC: 57, toC: 66 },
    mould: { fromC: 30, toC: 38 },
    floorC: 72,
    ceilingC: 150,
  },
  {
    kind: 'wax',
    id: 'runner-wax',
    name: 'Runner wax',
    revision: 1,
    note: invented,
    coats: [{ id: 'pour', name: 'Pour runners', window: { fromC: 80, toC: 92 } }],
    floorC: 74,
    ceilingC: 150,
  },
  {
    kind: 'wax',
    id: 'joining-wax',
    name: 'Joining wax',
    revision: 1,
    note: `${invented} Works at 121–149 °C: common practice, no source.`,
    coats: [{ id: 'join', name: 'Join with a hot knife', window: { fromC: 121, toC: 149 } }],
    ceilingC: 170,
  },
  {
    kind: 'drying',
    id: 'prime',
    name: 'Prime',
    revision: 1,
    note: `${invented} No direct air. Not longer than 12 h.`,
    temperature: { fromC: 20.3, toC: 23.7 },
    humidity: { from: 55, to: 65 },
    hoursMin: 3,
    hoursMax: 12,
  },
  {
    kind: 'drying',
    id: 'backup',
    name: 'Backup',
    revision: 1,
    note: `${invented} With fans.`,
    temperature: { fromC: 20.3, toC: 23.7 },
    humidity: { from: 40, to: 50 },
    hoursMin: 4,
    hoursMax: 16,
  },
  {
    kind: 'burnout',
    id: 'shell-flash',
    name: 'Shell flash at 870',
    revision: 1,
    note: invented,
    startC: 22,
    segments: shellSegments,
    governing: ['k1-air-a'],
    ready: { governs: 'load', atLeastC: 850, minutes: 10 },
    hands: [{ id: 'vent', name: 'Open the vent', what: 'vent', segment: 0, atC: 600 }],
    pullToPourS: 60,
    load: { kind: 'shell', name: 'Shells' },
  },
  {
    kind: 'burnout',
    id: 'mould-200',
    name: 'Mould 200 mm, dewaxed and dried',
    revision: 1,
    note: `${invented} Pour when the load is at 460 °C or below.`,
    startC: 24,
    segments: mouldSegments,
    governing: ['k2-air-a'],
    maximumC: 730,
    bands: [
      { name: 'the cristobalite inversion', fromC: 220, toC: 280, riseCPerHourMax: 170, fallCPerHourMax: 170 },
      { name: 'the quartz inversion', fromC: 553, toC: 593, riseCPerHourMax: 170, fallCPerHourMax: 170 },
    ],
    hands: [
      { id: 'vent', name: 'Open the vent', what: 'vent', segment: 2, atC: 300 },
      { id: 'shut', name: 'Shut the vent', what: 'vent', segment: 3 },
      { id: 'pour', name: 'Pour', what: 'pour', segment: 4 },
    ],
    ready: { governs: 'load', atMostC: 460, minutes: 10 },
    pullToPourS: 180,
    load: { kind: 'solid', name: '200 mm mould', thicknessMm: 200 },
  },
]
