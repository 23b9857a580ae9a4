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
  hold(240, 10),
  ramp(450, 40),
  hold(180),
]
export const shellSegments: Segment[] = [ramp(870, 300, 30), hold(180, 20)]

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
  },
]
