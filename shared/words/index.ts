/** The one door of the words: every sentence the product says, on screens and on MQTT. */
export * from './alarm.ts'
export * from './finding.ts'
export * from './run.ts'
export * from './safety.ts'
export * from './speech.ts'
export * from './standing.ts'
export * from './station.ts'
