/** What to do when a limit of the invented foundry is passed. Fire and reset wording is the house's own safety text. */
import type { Station } from '../../shared/contract/index.ts'

type Answer = NonNullable<Station['limits'][number]['answer']>

export const waxTooHot: Answer = {
  tier: 'act-now',
  consequence: 'The wax nears the temperature at which it can take fire.',
  action:
    'If there is no smoke or flame: isolate the pot at the wall, lid on, never water. Do not reach over smoke or flame to isolate: leave, call the fire service.',
  respondMinutes: 5,
}

export const heaterStaysOn: Answer = {
  tier: 'act-now',
  consequence: 'The heater has not cut off; the wax goes on rising toward its ceiling.',
  action:
    'If there is no smoke or flame: isolate the pot at the wall, lid on, never water. Do not reach over smoke or flame to isolate: leave, call the fire service.',
  respondMinutes: 8,
}

export const risingTooFast: Answer = {
  tier: 'act-now',
  consequence: 'Faster than this pot can heat its wax: little wax, or a heater that is stuck.',
  action: 'Look at the pot. If there is no smoke or flame: heat off at the wall, lid on, never water.',
  respondMinutes: 10,
}

export const primeRoomLeaves: Answer = {
  tier: 'act-now',
  consequence: 'Wax moves inside fresh primes; a swing of more than 1.7 °C can lift them.',
  action: 'Reset the cooling isolator of D1 unless it carries a lock or tag. Open the door no longer than needed.',
  respondMinutes: 30,
}

export const primeRoomDamp: Answer = {
  tier: 'this-shift',
  consequence: 'Too dry cracks a prime, too damp holds up the next dip.',
  action: 'Look whether the door is shut and the dehumidifier runs.',
  respondMinutes: 120,
}

export const backupRoomLeaves: Answer = {
  tier: 'this-shift',
  consequence: 'The wax moves inside shells that have stiffened.',
  action: 'Look whether the cooling runs. Reset only what carries no lock or tag.',
  respondMinutes: 60,
}

export const backupRoomDamp: Answer = {
  tier: 'this-shift',
  consequence: 'Drying slows and the next dip is put off; nothing cracks from this.',
  action: 'Look whether the door is shut and the dehumidifier runs. Reset only what carries no lock or tag.',
  respondMinutes: 120,
}

export const kilnTooHot: Answer = {
  tier: 'act-now',
  consequence: 'The mould material breaks down and gives off sulphur gases.',
  action: 'Switch the kiln off at its isolator; leave the door shut. Ventilate the yard.',
  respondMinutes: 10,
}

export const shellKilnTooHot: Answer = {
  tier: 'act-now',
  consequence: 'Shells and furniture are over-fired.',
  action: 'Shut the gas at the manual valve. Who may relight it does so on site, after purging.',
  respondMinutes: 10,
}

export const kilnClimbsTooFast: Answer = {
  tier: 'this-shift',
  consequence: 'Moulds crack when water leaves faster than it can.',
  action: 'Look at the programme and at the door.',
  respondMinutes: 20,
}

export const slurryWarm: Answer = {
  tier: 'tomorrow',
  consequence: 'Slurry that is not at room temperature chills or warms the wax at the dip.',
  action: 'Bring the tank back to room temperature before the next dip.',
  respondMinutes: 600,
}
