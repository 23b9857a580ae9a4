/** The instruments of the invented foundry: pots every 5 s, kilns every 10 s, rooms every 30 s. */
import type { Instrument, Place } from '../../shared/contract/index.ts'

const potS = 5
const kilnS = 10
const roomS = 30

type Row = [id: string, station: string, kind: Instrument['kind'], name: string, position: string, intervalS: number]

const rows: Row[] = [
  ['w1-mid', 'W1', 'thermocouple', 'W1 wax middle', 'wax, mid-depth', potS],
  ['w1-bottom', 'W1', 'thermocouple', 'W1 wax bottom', 'wax, 20 mm above the floor', potS],
  ['w1-ir', 'W1', 'infrared', 'W1 infrared', 'looking down on the surface', potS],
  ['w1-heater', 'W1', 'current', 'W1 heater current', 'supply lead', potS],
  ['w2-mid', 'W2', 'thermocouple', 'W2 wax middle', 'wax, mid-depth', potS],
  ['w2-ir', 'W2', 'infrared', 'W2 infrared', 'looking down on the surface', potS],
  ['w3-top', 'W3', 'thermocouple', 'W3 wax top', 'wax, 50 mm below the surface', potS],
  ['w3-bottom', 'W3', 'thermocouple', 'W3 wax bottom', 'wax, 40 mm above the floor', potS],
  ['w4-mid', 'W4', 'thermocouple', 'W4 wax middle', 'wax, mid-depth', potS],
  ['w5-mid', 'W5', 'thermocouple', 'W5 wax middle', 'wax, mid-depth', potS],
  ['d1-air-a', 'D1', 'climate', 'D1 air A', 'rack side', roomS],
  ['d1-air-b', 'D1', 'climate', 'D1 air B', 'by the door', roomS],
  ['d1-p1', 'D1', 'thermocouple', 'D1 test piece P1', 'wax under prime', roomS],
  ['d2-air-a', 'D2', 'climate', 'D2 air A', 'rack side', roomS],
  ['d2-air-b', 'D2', 'climate', 'D2 air B', 'by the door', roomS],
  ['d2-p2', 'D2', 'thermocouple', 'D2 test piece P2', 'wax, open face', roomS],
  ['d2-p3', 'D2', 'thermocouple', 'D2 test piece P3', 'wax, deep pocket', roomS],
  ['d2-fan', 'D2', 'current', 'D2 fan current', 'supply lead', roomS],
  ['d2-door', 'D2', 'contact', 'D2 door', 'door', roomS],
  ['corridor-air', 'corridor', 'climate', 'Corridor air', 'outside D2', roomS],
  ['slurry-mid', 'slurry', 'thermocouple', 'Slurry', 'tank, mid-depth', roomS],
  ['k1-air-a', 'K1', 'thermocouple', 'K1 air A', 'roof', kilnS],
  ['k1-air-b', 'K1', 'thermocouple', 'K1 air B', 'back wall', kilnS],
  ['k1-load', 'K1', 'thermocouple', 'K1 load', 'inside a dummy shell', kilnS],
  ['k1-door', 'K1', 'contact', 'K1 door', 'door', kilnS],
  ['k2-air-a', 'K2', 'thermocouple', 'K2 air A', 'control', kilnS],
  ['k2-air-b', 'K2', 'thermocouple', 'K2 air B', 'beside A, same depth', kilnS],
  ['k2-load', 'K2', 'thermocouple', 'K2 load', 'core of a 200 mm mould', kilnS],
]

/** What each may be held against; doors, fans and heaters are held against nothing. */
const placeOf: Readonly<Record<string, Place>> = {
  'w1-mid': 'wax-middle',
  'w1-bottom': 'wax-bottom',
  'w1-ir': 'wax-surface',
  'w1-heater': 'heater',
  'w2-mid': 'wax-middle',
  'w2-ir': 'wax-surface',
  'w3-top': 'wax-top',
  'w3-bottom': 'wax-bottom',
  'w4-mid': 'wax-middle',
  'w5-mid': 'wax-middle',
  'd1-air-a': 'room-air',
  'd1-air-b': 'room-air',
  'd1-p1': 'test-piece',
  'd2-air-a': 'room-air',
  'd2-air-b': 'room-air',
  'd2-p2': 'test-piece',
  'd2-p3': 'test-piece',
  'corridor-air': 'room-air',
  'k1-air-a': 'kiln-air',
  'k1-air-b': 'kiln-air',
  'k1-load': 'kiln-load',
  'k2-air-a': 'kiln-air',
  'k2-air-b': 'kiln-air',
  'k2-load': 'kiln-load',
}

/** Those that publish microvolts and the temperature of their terminals. */
export const bareThermocouples: Readonly<Record<string, 'K' | 'N'>> = { 'w4-mid': 'K', 'k1-load': 'K', 'k2-load': 'N' }

export const instruments: Instrument[] = rows.map(([id, station, kind, name, position, intervalS]) => {
  const type = bareThermocouples[id] ?? (kind === 'thermocouple' ? 'K' : undefined)
  const place = placeOf[id]
  return {
    id,
    station,
    kind,
    name,
    position,
    intervalS,
    ...(place && { place }),
    ...(type && { thermocouple: type, toleranceClass: 'iec-1' as const, checkEveryDays: 90 }),
    ...(kind === 'infrared' && { infrared: { setEmissivity: 0.95, compensatedC: 23 } }),
  }
})
