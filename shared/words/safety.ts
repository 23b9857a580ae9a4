/** The cautions of the trade, where they apply: short, plain, and always these words. */
import type { StationKind } from '../contract/index.ts'

const waxFire =
  'Wax fire: heat off, lid on, never water. Do not reach over smoke or flame to isolate: leave, call the fire service.'
const waxOnSkin = 'Wax on skin: cool under running water; do not peel it off.'

/** Everywhere. */
export const watchesAndWarns =
  'This tool watches and warns. Independent over-temperature protection, flame safeguards and carbon-monoxide alarms must work with it switched off.'

export const safetyWords: Record<StationKind, readonly string[]> = {
  pot: [waxFire, waxOnSkin],
  'bench-cup': [waxFire, waxOnSkin],
  'dry-room': [
    'Dried stucco is silica dust: do not sweep it dry.',
    'Reset or restart only what carries no lock or tag.',
    'What is shown here never says that a shell may be dipped or poured: people do.',
  ],
  kiln: [
    'A stopped gas kiln is relit by whoever may, on site, after purging; resume in this tool never means relight.',
    'Reset or restart only what carries no lock or tag.',
    'Burnout makes carbon monoxide: ventilate. A damp mould and metal make steam: what is shown here authorises no pour.',
  ],
  surroundings: ['Reset or restart only what carries no lock or tag.'],
}
