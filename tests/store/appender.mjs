/** Starts the appender in this process. `node appender.mjs FILE` */
import { writeSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { runnerImport } from 'vite'

const { module } = await runnerImport(fileURLToPath(new URL('./appender.ts', import.meta.url)))
await module.appendForEver(process.argv[2], (batch) => writeSync(1, `${batch}\n`))
