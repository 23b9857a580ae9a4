/** The stations of the invented foundry, each with what it must always keep. All set-points are invented for the demo. */
import type { Station } from '../../shared/contract/index.ts'
import * as answer from './answers.ts'

type Limit = Station['limits'][number]

const ceiling = (aboveC: number, what: Limit['answer'] = answer.waxTooHot): Limit => ({
  kind: 'ceiling',
  aboveC,
  deadband: 2,
  answer: what,
})

/** Past the set-point plus the overshoot this pot is known for. */
const cutOff = (instrument: string, to: number): Limit => ({
  kind: 'window',
  instrument,
  quantity: 'temperature',
  to,
  deadband: 2,
  onDelayS: 10,
  answer: answer.heaterStaysOn,
})

const rise = (instrument: string, cPerMinuteMax: number): Limit => ({
  kind: 'rise',
  instrument,
  cPerMinuteMax,
  overS: 180,
  onDelayS: 30,
  offDelayS: 60,
  answer: answer.risingTooFast,
})

function pot(
  id: string,
  name: string,
  leading: string,
  note: string,
  limits: Limit[],
  setting: NonNullable<Station['pot']>,
): Station {
  return { id, name, kind: 'pot', leading, note, limits, pot: { air: 'corridor-air', leftOnHours: 10, ...setting } }
}

function band(
  instrument: string,
  quantity: 'temperature' | 'humidity',
  from: number,
  to: number,
  what: Limit['answer'],
): Limit {
  const calm = quantity === 'temperature' ? { deadband: 0.2, onDelayS: 120 } : { deadband: 2, onDelayS: 300 }
  return { kind: 'window', instrument, quantity, from, to, offDelayS: 120, ...calm, answer: what }
}

const pots: Station[] = [
  pot(
    'W1',
    'Detail pot',
    'w1-mid',
    '6 kg, 600 W. Hot thin wax for the detail coat.',
    [ceiling(150), cutOff('w1-mid', 118), rise('w1-mid', 4)],
    { waxKg: 6, heaterW: 600, setPointC: 112, recipe: 'figure-wax' },
  ),
  pot(
    'W2',
    'Build pot',
    'w2-mid',
    '12 kg, 1.2 kW. Conditioned hot, then let down through the coats.',
    [ceiling(150), cutOff('w2-mid', 120), rise('w2-mid', 4.5)],
    { waxKg: 12, heaterW: 1_200, recipe: 'figure-wax' },
  ),
  pot(
    'W3',
    'Slush tank',
    'w3-top',
    '40 kg, 3 kW. Held at the bottom of the working range.',
    [ceiling(150), cutOff('w3-bottom', 90)],
    { waxKg: 40, heaterW: 3_000, recipe: 'figure-wax' },
  ),
  pot('W4', 'Runner wax', 'w4-mid', '10 kg, 800 W. Runners, cups and vents.', [ceiling(150), cutOff('w4-mid', 96)], {
    waxKg: 10,
    heaterW: 800,
    recipe: 'runner-wax',
  }),
  pot(
    'W5',
    'Joining wax',
    'w5-mid',
    '1 kg, 250 W. The hottest pot in the room.',
    [ceiling(170), cutOff('w5-mid', 150)],
    { waxKg: 1, heaterW: 250, recipe: 'joining-wax' },
  ),
]

const rooms: Station[] = [
  {
    id: 'D1',
    name: 'Prime room',
    kind: 'dry-room',
    leading: 'd1-air-a',
    note: '22.0 ± 1.7 °C, 55–65 %, no direct air. Warns before the recipe’s band is left.',
    limits: [
      band('d1-air-a', 'temperature', 20.6, 23.4, answer.primeRoomLeaves),
      band('d1-air-a', 'humidity', 48, 72, answer.primeRoomDamp),
    ],
  },
  {
    id: 'D2',
    name: 'Backup room',
    kind: 'dry-room',
    leading: 'd2-air-a',
    note: '22.0 ± 1.7 °C, 40–50 %, moving air.',
    limits: [
      band('d2-air-a', 'temperature', 20.3, 23.7, answer.backupRoomLeaves),
      band('d2-air-a', 'humidity', 32, 56, answer.backupRoomDamp),
    ],
  },
]

const surroundings: Station[] = [
  {
    id: 'corridor',
    name: 'Corridor',
    kind: 'surroundings',
    leading: 'corridor-air',
    note: 'The air that comes in when a door stands open.',
    limits: [],
  },
  {
    id: 'slurry',
    name: 'Slurry tank',
    kind: 'surroundings',
    leading: 'slurry-mid',
    limits: [{ ...band('slurry-mid', 'temperature', 18, 26, answer.slurryWarm), onDelayS: 600 }],
  },
]

const kilns: Station[] = [
  {
    id: 'K1',
    name: 'Shell kiln',
    kind: 'kiln',
    leading: 'k1-air-a',
    note: 'Gas. Flash dewax and firing of shells at 870 °C.',
    limits: [ceiling(950, answer.shellKilnTooHot)],
  },
  {
    id: 'K2',
    name: 'Mould kiln',
    kind: 'kiln',
    leading: 'k2-air-a',
    note: 'Electric, 24 kW. Solid moulds of 200 mm.',
    limits: [
      ceiling(760, answer.kilnTooHot),
      {
        kind: 'rise',
        instrument: 'k2-air-a',
        cPerMinuteMax: 12,
        overS: 600,
        onDelayS: 60,
        offDelayS: 120,
        answer: answer.kilnClimbsTooFast,
      },
    ],
  },
]

export const stations: Station[] = [...pots, ...rooms, ...surroundings, ...kilns]
